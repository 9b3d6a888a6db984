//! 6. The document: a TOML recipe, its dotted paths, and how it becomes a model.
//!
//! Every number of a recipe has a path with its unit in the name (`operation.temperature_c`). The
//! same path overrides it, sweeps it, and names it in messages.

mod analyses;
pub mod apparent_energy;
pub mod bath;
pub mod bleed;
mod branches;
mod bulk;
mod calendar;
mod caps;
pub mod constant_list;
mod constant_sets;
pub mod constants;
mod contents;
mod decomposition;
mod deposit;
pub mod document;
mod doses;
mod doubled;
mod enthalpy_doubts;
pub mod equations;
mod events;
mod exchange;
mod factors;
mod film;
pub mod fit_record;
mod fitted;
mod heading;
mod held_level;
pub mod history;
mod law_numbers;
mod laws;
mod laws_in_use;
mod limits;
pub mod make_up;
mod merged;
pub mod model;
mod named_files;
mod off_set_point;
mod operation;
pub mod past;
mod ph_reagents;
mod phases;
pub mod plan;
mod policies;
mod prices;
mod racks_out;
mod racks_remarks;
mod ran_dry;
pub mod reader;
mod reasons;
mod role_drift;
mod roles;
mod running;
mod saturation;
pub mod sensitivity;
mod slots;
mod slurry;
mod solver;
mod species;
pub mod strategy;
pub mod substance;
pub mod substrates;
mod surface_doubts;
pub mod sweep;
pub mod table;
mod traces;
mod unmoved;
mod usual_strategies;
mod warnings;

use std::path::Path;
use std::sync::{Arc, OnceLock};

use crate::error::{Error, Place, Result};
use crate::life::{Life, simulate};
use crate::stop::Stop;
use crate::tank::event::UNLISTED;
use crate::tank::{MetalPolicy, ReductantPolicy, Work};
use bathkin_numerics::short;

pub use apparent_energy::ApparentEnergy;
pub use bath::{
    Bath, BathDistribution, BathPolarisation, BathSlope, BathTitration, HeldSolution, ParameterKind, Plated,
    Rate, reference_electrode,
};
pub use bleed::{BleedForLimit, SteadyBleed};
pub use constant_list::{Constant, SpeciesConstant};
pub use document::{Document, Entry, Value};
pub use equations::{Equation, Equations, Notation};
pub use fit_record::{FitRecord, FittedTie};
pub use heading::Heading;
pub use history::{History, Layer};
pub use law_numbers::Laws;
pub use make_up::PhAdjustment;
pub use model::Model;
pub use past::LifeCost;
pub use plan::{Plan, PlanRequest};
pub use reader::Flag;
pub use sensitivity::{LifeSensitivity, Sensitivity};
pub use strategy::{Horizon, Strategy, StrategyResult};
pub use substrates::{Substrate, built_in_substrates};
pub use sweep::{SweepPoint, sweep};
pub use warnings::{Warning, WarningReadings};

const BUILT_IN: [(&str, &str); 19] = [
    ("nickel-acid", include_str!("../../data/recipes/nickel-acid.toml")),
    ("nickel-stabilized", include_str!("../../data/recipes/nickel-stabilized.toml")),
    ("nickel-lead", include_str!("../../data/recipes/nickel-lead.toml")),
    ("nickel-succinate", include_str!("../../data/recipes/nickel-succinate.toml")),
    ("nickel-citrate", include_str!("../../data/recipes/nickel-citrate.toml")),
    ("nickel-low-ligand", include_str!("../../data/recipes/nickel-low-ligand.toml")),
    ("nickel-lactate", include_str!("../../data/recipes/nickel-lactate.toml")),
    ("nickel-mixed-potential", include_str!("../../data/recipes/nickel-mixed-potential.toml")),
    ("nickel-textbook", include_str!("../../data/recipes/nickel-textbook.toml")),
    ("copper-edta", include_str!("../../data/recipes/copper-edta.toml")),
    ("copper-tartrate", include_str!("../../data/recipes/copper-tartrate.toml")),
    ("copper-tartrate-quiet", include_str!("../../data/recipes/copper-tartrate-quiet.toml")),
    ("copper-textbook", include_str!("../../data/recipes/copper-textbook.toml")),
    ("nickel-alkaline", include_str!("../../data/recipes/nickel-alkaline.toml")),
    ("nickel-boron", include_str!("../../data/recipes/nickel-boron.toml")),
    ("cobalt-hypophosphite", include_str!("../../data/recipes/cobalt-hypophosphite.toml")),
    ("palladium-hypophosphite", include_str!("../../data/recipes/palladium-hypophosphite.toml")),
    ("silver-tartrate", include_str!("../../data/recipes/silver-tartrate.toml")),
    ("gold-borohydride", include_str!("../../data/recipes/gold-borohydride.toml")),
];

/// A bath described by a document. Cheap to clone; overriding gives a new one.
#[derive(Debug, Clone)]
pub struct Recipe {
    document: Document,
    text: Arc<str>,
    overrides: Vec<(String, Value)>,
    model: OnceLock<Result<Arc<Model>>>,
    stop: Stop,
}

impl PartialEq for Recipe {
    fn eq(&self, other: &Self) -> bool {
        // Where a value came from does not matter to what the bath does.
        let same = |a: &Entry, b: &Entry| a.path == b.path && a.value == b.value;
        let (mine, theirs) = (self.document.entries(), other.document.entries());
        mine.len() == theirs.len() && mine.iter().zip(theirs).all(|(a, b)| same(a, b))
    }
}

/// A document on top of the built-in recipe it names with `base`, if it names one.
fn on_its_base(document: Document) -> Result<Document> {
    let Some(entry) = document.get("base") else { return Ok(document) };
    let known = |name: &str| BUILT_IN.iter().find(|(known, _)| *known == name);
    let name = if let Value::Text(name) = &entry.value { name.as_str() } else { "" };
    let (name, text) = known(name).ok_or_else(|| {
        Error::unknown_name(entry.place.clone(), "built-in recipe", name, Recipe::built_in_names())
    })?;
    Ok(document.on_top_of(Document::parse(name, text)?))
}

impl Recipe {
    /// Names of the built-in recipes.
    pub fn built_in_names() -> impl Iterator<Item = &'static str> {
        BUILT_IN.iter().map(|(name, _)| *name)
    }

    /// A built-in recipe.
    ///
    /// # Errors
    /// [`Error::UnknownName`] with the valid names.
    pub fn built_in(name: &str) -> Result<Self> {
        let (name, text) = BUILT_IN.iter().find(|(known, _)| *known == name).ok_or_else(|| {
            let place = constants::nowhere("built-in recipes");
            Error::unknown_name(place, "recipe", name, Recipe::built_in_names())
        })?;
        Recipe::from_toml(name, text)
    }

    /// A recipe from TOML text; `file` names it in messages.
    ///
    /// With `base = "nickel-acid"` it says only what differs from that built-in recipe: a scenario.
    ///
    /// Only the form is read here; [`Recipe::model`] checks every value.
    ///
    /// # Errors
    /// [`Error::Document`] and [`Error::Recipe`] with file and line.
    pub fn from_toml(file: &str, text: &str) -> Result<Self> {
        let document = Document::parse(file, text)?;
        Ok(Recipe {
            document: on_its_base(document)?,
            text: text.into(),
            overrides: Vec::new(),
            model: OnceLock::new(),
            stop: Stop::default(),
        })
    }

    /// A recipe by built-in name, or from a file.
    ///
    /// # Errors
    /// As [`Recipe::built_in`] and [`Recipe::from_toml`]; [`Error::Document`] when the file cannot
    /// be read.
    pub fn load(name_or_path: &str) -> Result<Self> {
        let path = Path::new(name_or_path);
        let looks_like_file = path.extension().is_some() || path.components().count() > 1;
        if !looks_like_file {
            return Recipe::built_in(name_or_path);
        }
        let text = std::fs::read_to_string(path).map_err(|error| Error::Document {
            place: Place { file: name_or_path.to_owned(), line: None },
            reason: format!("cannot be read: {error}"),
        })?;
        Recipe::from_toml(name_or_path, &text)
    }

    /// This recipe with one value changed; `by` is named in messages (`--set`).
    ///
    /// ```
    /// use bathkin::recipe::{Recipe, Value};
    /// let hotter = Recipe::built_in("nickel-acid")?.with("operation.temperature_c", Value::Number(90.0), "example");
    /// assert!(hotter.make_up()?.rate()?.deposition_um_h > 16.5);
    /// # Ok::<(), bathkin::Error>(())
    /// ```
    pub fn with(&self, path: &str, value: Value, by: &str) -> Self {
        let mut document = self.document.clone();
        document.set(path, value.clone(), by);
        let mut overrides = self.overrides.clone();
        overrides.push((path.to_owned(), value));
        let (text, stop) = (self.text.clone(), self.stop.clone());
        Recipe { document, text, overrides, model: OnceLock::new(), stop }
    }

    /// This recipe, whose computations, and those of all that is made of it, end with an error once `stop` is
    /// asked to.
    ///
    /// ```
    /// use bathkin::{Recipe, Stop};
    ///
    /// let stop = Stop::default();
    /// let recipe = Recipe::built_in("nickel-acid")?.heeding(&stop);
    /// assert!(recipe.make_up().is_ok());
    /// stop.ask();
    /// assert!(recipe.simulate_life().is_err());
    /// # Ok::<(), bathkin::Error>(())
    /// ```
    pub fn heeding(&self, stop: &Stop) -> Self {
        let (document, text, overrides) = (self.document.clone(), self.text.clone(), self.overrides.clone());
        let model = OnceLock::new();
        if let Some(known) = self.model.get() {
            // What was resolved heeds another; it need not be resolved again.
            let heeding = |model: &Arc<Model>| Arc::new(Model::clone(model).heeding(stop));
            model.get_or_init(|| known.as_ref().map(heeding).map_err(Clone::clone));
        }
        Recipe { document, text, overrides, model, stop: stop.clone() }
    }

    /// Goes on unless what this recipe heeds was asked to stop: for loops over many of its kind.
    ///
    /// # Errors
    /// [`Error::Stopped`].
    pub fn go_on(&self) -> Result<()> {
        self.stop.go_on()
    }

    /// The document, overrides included.
    pub fn document(&self) -> &Document {
        &self.document
    }

    /// The text the recipe was read from, without overrides.
    pub fn text(&self) -> &str {
        &self.text
    }

    /// What was changed since.
    pub fn overrides(&self) -> &[(String, Value)] {
        &self.overrides
    }

    /// The recipe resolved, every value checked. Done once.
    ///
    /// # Errors
    /// [`Error::Recipe`], [`Error::UnknownName`], [`Error::PhNotReachable`] with file, line, key.
    pub fn model(&self) -> Result<&Model> {
        let model = match self.model.get() {
            Some(known) => known,
            None => {
                let found = model::resolve(&self.document, &self.stop).map(Arc::new);
                // What was stopped is not kept: it may be asked for again.
                found.is_err().then(|| self.stop.go_on()).transpose()?;
                self.model.get_or_init(|| found)
            }
        };
        model.as_deref().map_err(Clone::clone)
    }

    /// The fresh bath.
    ///
    /// # Errors
    /// As [`Recipe::model`].
    pub fn make_up(&self) -> Result<Bath> {
        self.model()?;
        Bath::fresh(self.clone())
    }

    /// The life of the bath, from make-up to the first limit.
    ///
    /// A rack on a calendar plates from the end of its induction time on. Steady work counts as covered
    /// from the start, which is flagged where its substrate starts late. A substrate that does not start
    /// is refused.
    ///
    /// # Errors
    /// As [`Recipe::model`], and those of [`simulate()`].
    pub fn simulate_life(&self) -> Result<Life> {
        self.simulate_life_reporting(&mut |_| true)
    }

    /// The same, calling `report` with the turnovers so far; `false` from it ends the run.
    ///
    /// # Errors
    /// As [`Recipe::simulate_life`].
    pub fn simulate_life_reporting(&self, report: &mut dyn FnMut(f64) -> bool) -> Result<Life> {
        let model = self.model()?;
        // Work that does not start never ages a bath.
        model.surface.start(&model.substrates)?;
        let mut life =
            simulate(&model.tank, &model.fresh_totals_mol_l, &model.limits, &model.settings, report)?;
        if let Some(cost) = &model.cost {
            cost.write(&mut life.table);
        }
        Ok(life)
    }

    /// Warnings that go with a life: those of the recipe, and what the run showed.
    ///
    /// # Errors
    /// As [`Recipe::model`].
    pub fn life_flags(&self, life: &Life) -> Result<Vec<Flag>> {
        let model = self.model()?;
        let mut flags = model.flags.clone();
        let mut flag = |place: &str, what: String| flags.push(Flag { r#where: place.to_owned(), what });
        let last = |column: &str| life.table.column(column).and_then(|values| values.last().copied());
        if let Some(what) = last("ionic_strength_mol_l")
            .and_then(|strength| model.tank.equilibrium.activity().doubt(strength))
        {
            flag("solution.activity", what);
        }
        let alloy = model.alloy_column.as_deref().and_then(last);
        if let Some(what) = alloy.and_then(|alloy| model.tank.density.doubt(alloy)) {
            flag("deposit.density_scale", what);
        }
        let feed = &life.reductant_feed;
        let drift = feed.end_mol_l / feed.set_point_mol_l - 1.0;
        const WORTH_SAYING: f64 = 0.05;
        // Between two doses the reductant is low without having drifted.
        let between_doses = match (model.tank.policies.metal, model.tank.policies.reductant) {
            (MetalPolicy::Threshold { fraction }, ReductantPolicy::Restore) => 1.0 - fraction,
            _ => 0.0,
        };
        let uneven = feed.fed_per_metal_mol / feed.used_per_metal_mol - 1.0;
        const UNEVEN: f64 = 1e-3;
        if drift.abs() > WORTH_SAYING + between_doses && uneven.abs() > UNEVEN && life.verdict.turnovers > 0.5
        {
            flag(
                "replenishment.reductant_per_metal_mol",
                format!(
                    "{:.3} mol reductant were fed per mol metal and {:.3} were used: it drifted from {:.3} to {:.3} mol/L",
                    feed.fed_per_metal_mol, feed.used_per_metal_mol, feed.set_point_mol_l, feed.end_mol_l
                ),
            );
        }
        flags.extend(model.warnings_over(life)?);
        flags.extend(model.racks_past_their_caps(life));
        flags.extend(model.washed_out(life));
        flags.extend(bath::film_over(life));
        flags.extend(enthalpy_doubts::of_life(model, life)?);
        flags.extend(surface_doubts::of_life(self.document(), &model.tank, life));
        flags.extend(ran_dry::doubt_of_life(model, life));
        flags.extend(limits::judged_low(model, life));
        flags.extend(self.price_flags()?);
        let mut flag = |place: &str, what: String| flags.push(Flag { r#where: place.to_owned(), what });
        for solid in &life.solids {
            if let Some(from_h) = solid.clouds_from_h {
                flag("solids", saturation::clouding(&solid.title, solid.largest_saturation_index, from_h));
            }
        }
        let (substrate, start) = model.surface.start(&model.substrates)?;
        if !start.coverage.is_complete() && matches!(model.tank.work, Work::Steady(_)) {
            flag(
                "work.substrate",
                format!(
                    "loads count as covered from the start; {} starts some {:.0} s late",
                    substrate.name, start.induction_s
                ),
            );
        }
        for event in life.events.iter().filter(|event| event.doubtful_after) {
            let what = format!(
                "{UNLISTED}: {:.1} h, {:.2} turnovers ({})",
                event.clock_h,
                event.turnovers,
                event.what.trim_end_matches(UNLISTED).trim_end_matches("; ")
            );
            flag(&format!("event.{}", event.event), what);
        }
        flags.extend(held_level::doubt(self.document(), &model.tank, life));
        flags.extend(racks_remarks::of_life(self.document(), &model.tank, life));
        let mut flag = |place: &str, what: String| flags.push(Flag { r#where: place.to_owned(), what });
        // A calendar that is not repeated leaves the tank idle.
        const BUSY: f64 = 0.5;
        if let (Work::Loads(_), Some(load)) = (&model.tank.work, life.loads.last())
            && life.verdict.limit == "none"
            && load.out_h < BUSY * life.verdict.clock_h
        {
            let what = format!(
                "the last rack came out at {:.1} h of {:.0} h, and nothing was plated after it: \
                 work.calendar_repeat_h repeats a calendar",
                load.out_h, life.verdict.clock_h
            );
            flag("work.calendar", what);
        }
        if life.verdict.limit == "none" {
            flag(
                "life.longest_clock_h",
                format!("no limit was reached in {} h", short(life.verdict.clock_h)),
            );
        }
        flags.extend(
            model.tank.decomposition.as_ref().and_then(|law| decomposition::doubt_of_life(law, life)),
        );
        Ok(flags)
    }
}
