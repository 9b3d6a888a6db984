//! A recipe resolved: the tank, its fresh liquid and its limits.

mod laws;

use std::sync::Arc;

use crate::constants::SECONDS_PER_HOUR;
use crate::document::Document;
use crate::document::declared::Chapter;
use crate::document::reader::{Bounds, Reader, Role as Of};
use crate::document::table::dates::Moment;
use crate::error::Result;
use crate::flag::Flag;
use crate::life::{Limit, Settings};
use crate::model::alarms::{Alarms, read_alarms};
use crate::model::amounts::Amounts;
use crate::model::caps::Caps;
use crate::model::chapters::{CONDITIONS, DERIVED, GROUND, Kept, LAWS, MAKE_UP, PLANT, SOLUTIONS};
use crate::model::contents::{cautions, fresh_bath, fresh_per_litre};
use crate::model::database::Constants;
use crate::model::deposit::check_deposit;
use crate::model::doses::read_feeds;
use crate::model::events::read_events;
use crate::model::fit_record::read_fit_record;
use crate::model::fresh_liquid::{Conditions, FreshLiquid};
use crate::model::ground::Ground;
use crate::model::law_slots::LawSlots;
use crate::model::laws_in_use::flag_uncontained;
use crate::model::limits::LimitKeys;
use crate::model::log_settings::{LogSettings, read_log_settings};
use crate::model::make_up::{PhAdjustment, read_amounts};
use crate::model::moved::Moved;
use crate::model::operation::{Starting, read_work};
use crate::model::ph_reagents::flag_differing;
use crate::model::plant::{read_replenishers, read_tank};
use crate::model::prices::read_cost;
use crate::model::roles::read_roles;
use crate::model::running::read_level;
use crate::model::slots::Slots;
use crate::model::slurry::{check_bath, check_weight};
use crate::model::solutions::Solutions;
use crate::model::solver::read_settings;
use crate::model::substrates::{Substrate, Surface, family};
use crate::model::warnings::{Warning, read_warnings};
use crate::model::{Heading, constant_sets, free_level, missing_enthalpies};
use crate::solution::chemistry::HYDROXIDE;
use crate::solution::{Chemistry, Equilibrium, Role, Speciation};
use crate::stop::Stop;
use crate::surface::Start;
use crate::tank::{BathState, PhPolicy, Roles, SetPoints, Tank};

/// A recipe resolved to indices: immutable, shareable between threads.
#[derive(Debug, Clone)]
pub struct Model {
    /// Heading.
    pub heading: Arc<Heading>,
    /// Chemistry it draws on.
    pub chemistry: Arc<Chemistry>,
    /// Tank.
    pub tank: Tank,
    /// Substrates of its metal and reductant.
    pub substrates: Arc<[Substrate]>,
    /// What is plated.
    pub surface: Surface,
    /// Totals of the fresh bath, mol/L, pH adjusted.
    pub fresh_totals_mol_l: Vec<f64>,
    /// The fresh bath, and its liquid.
    pub(crate) fresh: Arc<(BathState, Speciation)>,
    /// What was weighed out, g/L, without the pH adjustment.
    pub make_up_g_l: Vec<(String, f64)>,
    /// What set the pH.
    pub ph_adjustment: Option<PhAdjustment>,
    /// Limits.
    pub limits: Vec<Limit>,
    /// Caps of substrates that are not plated.
    pub limits_of_other_work: Vec<Limit>,
    /// Warnings the recipe gives about itself.
    pub warnings: Arc<[Warning]>,
    /// Clock zero of a calendar of racks, where dates tell it.
    pub calendar_zero: Option<Moment>,
    /// How a life is computed.
    pub settings: Settings,
    /// How its logs are kept.
    pub log: Arc<LogSettings>,
    /// When a followed bath raises an alarm.
    pub alarms: Alarms,
    /// Roles of each component, in the order of the totals.
    pub roles: Arc<[Vec<Role>]>,
    /// Warnings found when reading.
    pub flags: Vec<Flag>,
    /// What it was read as, for models at other numbers.
    pub(crate) kept: Arc<Kept>,
}

impl Model {
    /// The same, whose solutions heed `stop`.
    pub(crate) fn heeding(mut self, stop: &Stop) -> Self {
        self.tank.bath.equilibrium = Equilibrium::clone(&self.tank.bath.equilibrium).heeding(stop).into();
        self
    }

    /// How deposition starts on what the recipe plates.
    ///
    /// # Errors
    /// [`crate::Error::Recipe`] for a substrate that does not start so, with what practice does.
    pub fn start(&self) -> Result<Start> {
        self.surface.start(&self.substrates).map(|(_, start)| start)
    }
}

/// Resolves a document.
pub(crate) fn resolve(document: &Document, stop: &Stop) -> Result<Model> {
    Build { reader: Reader::new(document), before: None }.model(stop)
}

impl Model {
    /// This model at other numbers: `document` is the one it was read from with the numbers at the paths `moved`
    /// changed. What does not follow from them is kept; laws are written slot by slot.
    ///
    /// # Errors
    /// As resolving the document.
    pub(crate) fn again(&self, document: &Document, moved: &[&str], stop: &Stop) -> Result<Model> {
        match self.kept.moved(document, moved)? {
            Some(moved) => {
                let reader = Reader::again(document, &self.kept.declared);
                Build { reader, before: Some((self, moved)) }.model(stop)
            }
            None => resolve(document, stop),
        }
    }
}

/// A model being read, from nothing or after one that differs from it by some numbers.
struct Build<'a> {
    reader: Reader<'a>,
    before: Option<(&'a Model, Moved<'a>)>,
}

impl Build<'_> {
    /// What is kept of a chapter in which nothing was moved.
    fn kept(&self, chapter: Chapter) -> Option<&Model> {
        let (model, moved) = self.before.as_ref()?;
        (!moved.reads(&model.kept, chapter)).then_some(*model)
    }

    /// A chapter, kept or read.
    fn chapter<T>(
        &self,
        chapter: Chapter,
        role: Of,
        of: fn(&Kept) -> &Arc<T>,
        read: impl FnOnce(&Reader) -> Result<T>,
    ) -> Result<Arc<T>> {
        if let Some(model) = self.kept(chapter) {
            return Ok(of(&model.kept).clone());
        }
        self.reader.begin(chapter, role);
        read(&self.reader).map(Arc::new)
    }

    fn model(self, stop: &Stop) -> Result<Model> {
        stop.go_on()?;
        let reader = &self.reader;
        let ground = self.chapter(GROUND, Of::Format, |kept| &kept.ground, Ground::read)?;
        let constants: Arc<Constants> = match &self.before {
            Some((_, moved)) if self.kept(GROUND).is_some() => moved.constants.clone(),
            _ => ground.constants.clone(),
        };
        let chemistry = &constants.chemistry;
        let make_up = self.chapter(
            MAKE_UP,
            Of::MakeUp,
            |kept| &kept.make_up,
            |reader| read_amounts(reader, chemistry, "make_up"),
        )?;
        let solutions = self.chapter(
            SOLUTIONS,
            Of::Solution,
            |kept| &kept.solutions,
            |reader| Solutions::read(reader, chemistry, &make_up),
        )?;
        let names = &solutions.names;
        let same_chemistry = self.kept(GROUND).filter(|model| Arc::ptr_eq(&model.chemistry, chemistry));
        let equilibrium = match same_chemistry {
            Some(model) => model.tank.bath.equilibrium.clone(),
            None => {
                Equilibrium::new(chemistry, names, ground.activity).per_litre(chemistry).heeding(stop).into()
            }
        };
        let slots = Slots { chemistry, names, equilibrium: &equilibrium };
        let at = self.chapter(CONDITIONS, Of::Operation, |kept| &kept.conditions, Conditions::read)?;
        let heading = &ground.heading;
        let roles = match &self.before {
            Some((model, _)) => model.tank.bath.roles,
            None => Roles {
                metal: slots.role(reader, "metal", &heading.metal)?,
                reductant: slots.role(reader, "reductant", &heading.reductant)?,
                by_product: slots.role(reader, "by_product", &heading.by_product)?,
            },
        };
        let unmoved =
            [MAKE_UP, SOLUTIONS, CONDITIONS].into_iter().all(|chapter| self.kept(chapter).is_some());
        let liquid = match same_chemistry.filter(|_| unmoved) {
            Some(model) => model.kept.liquid.clone(),
            None => Arc::new(FreshLiquid::made_up(reader, &slots, roles, &make_up, &solutions, &at)?),
        };
        let (totals, ph_adjustment) = (&liquid.totals_mol_l, liquid.adjustment.as_ref());
        let laws = self.chapter(
            LAWS,
            Of::Law,
            |kept| &kept.laws,
            |reader| LawSlots::read(reader, &slots, &solutions, (&heading.metal, roles.metal)),
        )?;

        let mut tank = match self.kept(PLANT) {
            Some(model) => model.tank.clone(),
            None => {
                reader.begin(PLANT, Of::Tank);
                read_tank(reader, &slots, heading, &laws, &solutions, roles)?
            }
        };
        let written = self.write_laws(&mut tank, &laws);
        tank.bath.equilibrium = equilibrium.clone();
        tank.operation.temperature_k = at.temperature_k;
        tank.plant.volume_l = at.volume_l;
        tank.operation.set_points = SetPoints {
            metal_mol_l: totals[roles.metal],
            reductant_mol_l: totals[roles.reductant],
            ph: liquid.ph,
            ph_temperature_k: at.ph_temperature_k,
        };
        // Above this a pH reading says less than the alkali: 0.1 pH is a quarter of it.
        const CONTROLLED_BY_ALKALI_PH: f64 = 10.0;
        tank.bath.hydroxide = (liquid.ph > CONTROLLED_BY_ALKALI_PH)
            .then(|| equilibrium.substance_names().position(|name| name == HYDROXIDE))
            .flatten();

        reader.begin(DERIVED, Of::Tank);
        let corrector_g_l = reader.number_or("ph_control.corrector_g_l", Bounds::POSITIVE, 200.0)?;
        if tank.operation.policies.ph != PhPolicy::Off {
            let corrector = solutions.corrector.as_ref();
            flag_differing(reader, chemistry, ph_adjustment, corrector, corrector_g_l);
        }
        tank.operation.ph_corrector_g_l = corrector_g_l;
        let corrector = solutions.corrector.as_ref();
        let corrector_solution =
            corrector.map(|reagent| Amounts::single(reagent, corrector_g_l)).unwrap_or_default();
        check_weight(reader, "ph_control.corrector_g_l", &corrector_solution)?;
        read_replenishers(reader, &slots, &solutions, &corrector_solution, totals, &mut tank)?;
        tank.operation.feeds = read_feeds(
            reader,
            &slots,
            &solutions.further,
            totals,
            at.volume_l,
            &mut tank.operation.replenishers,
        )?;
        let per_litre = fresh_per_litre(totals, &tank.bath.liquid);
        tank.operation.events = read_events(
            reader,
            &slots,
            &solutions.poured,
            per_litre,
            &laws.matter.liquid,
            at.volume_l,
            &mut tank.operation.replenishers,
        )?;
        tank.plant.level = read_level(reader, at.volume_l)?;
        free_level::check_solutions(reader, tank.plant.level, &tank)?;
        let (fresh, speciation) = fresh_bath(&tank, totals, liquid.solved.clone())?;
        check_deposit(reader, &tank, &fresh)?;
        check_bath(reader, &tank.bath.equilibrium, &make_up, totals, fresh.solutes_g_l(&tank))?;
        let (surface, substrates) = (&ground.surface, &ground.substrates);
        let deposition_um_h = fresh.growth_um_s * SECONDS_PER_HOUR;
        let starting = Starting { surface, substrates: &substrates.known, deposition_um_h };
        reader.role(Of::Work);
        let calendar_zero;
        (tank.operation.work, calendar_zero) = read_work(reader, at.volume_l, &starting)?;
        reader.role(Of::Price);
        let own = [&solutions.metal, &solutions.reductant, &corrector_solution];
        let poured = solutions.poured.iter().map(|pour| (pour.name(), pour.amounts()));
        let further = solutions.further.iter().map(|solution| (solution.name(), solution.amounts()));
        let priced: Vec<(&str, &Amounts)> = further.chain(poured).collect();
        tank.operation.cost = read_cost(reader, chemistry, &tank, &make_up, ph_adjustment, own, &priced)?;
        reader.role(Of::Limit);
        let caps = Caps { of: substrates, surface, work: &tank.operation.work, family: &family(heading) };
        let limit_keys = match same_chemistry {
            Some(model) => model.kept.limit_keys.clone(),
            None => Arc::new(LimitKeys::read(reader, chemistry, &tank)?),
        };
        let limits = limit_keys.limits(reader, &tank, &fresh, &caps)?;
        reader.role(Of::FitRecord);
        read_fit_record(reader)?;
        let (settings, log, alarms, warnings, component_roles) = match self.kept(PLANT) {
            Some(model) => {
                let (warnings, roles) = (model.warnings.clone(), model.roles.clone());
                (model.settings.clone(), model.log.clone(), model.alarms, warnings, roles)
            }
            None => {
                reader.begin(PLANT, Of::Computation);
                let settings = read_settings(reader)?;
                let log = Arc::new(read_log_settings(reader)?);
                reader.role(Of::Warning);
                let alarms = read_alarms(reader)?;
                let warnings = read_warnings(reader, &tank)?.into();
                (settings, log, alarms, warnings, read_roles(reader, &slots, &tank)?.into())
            }
        };
        let by_hand = self.by_hand(chemistry, &make_up, &solutions);
        let mut flags = Vec::new();
        if !heading.backing.starts_with("published") {
            flags.push(Flag { r#where: "recipe".to_owned(), what: heading.backing.clone() });
        }
        let switched = match same_chemistry {
            Some(model) => model.kept.switched.clone(),
            None => constant_sets::warnings(reader, chemistry, &tank.bath.equilibrium, &tank.bath.solids)?,
        };
        let document = reader.document().clone();
        let Build { reader, before } = self;
        let found = reader.finish()?;
        let (mut noted, mut declared) = (found.flags, Arc::new(found.declared));
        if let Some((model, moved)) = &before {
            declared = model.kept.declared.clone();
            noted.extend(model.kept.flags_at(moved));
            noted.sort_by_key(|(chapter, _)| *chapter);
        }
        flags.extend(noted.iter().map(|(_, flag)| flag.clone()));
        flags.extend(switched.iter().cloned());
        flags.extend(missing_enthalpies::missing(chemistry, &tank));
        flags.extend(ground.substrates.flags.iter().cloned());
        flags.extend(cautions(chemistry, names));
        flags.extend(flag_uncontained(chemistry, &tank, &component_roles, &by_hand));
        Ok(Model {
            heading: heading.clone(),
            substrates: ground.substrates.known.clone(),
            surface: ground.surface.clone(),
            fresh_totals_mol_l: totals.clone(),
            fresh: Arc::new((fresh, speciation)),
            make_up_g_l: make_up.grams(),
            ph_adjustment: ph_adjustment.cloned(),
            limits: limits.ending,
            limits_of_other_work: limits.of_other_work,
            warnings,
            calendar_zero,
            settings,
            log,
            alarms,
            roles: component_roles,
            flags,
            tank,
            chemistry: constants.chemistry.clone(),
            kept: Arc::new(Kept {
                document,
                declared,
                flags: noted,
                switched,
                constants,
                ground,
                make_up,
                solutions,
                conditions: at,
                liquid: liquid.clone(),
                limit_keys,
                laws,
                written,
            }),
        })
    }
}
