//! A recipe resolved: the tank, its fresh liquid and its limits.

use crate::constants::{REFERENCE_TEMPERATURE_K, SECONDS_PER_HOUR, ZERO_CELSIUS_K};
use crate::document::Document;
use crate::document::reader::{Bounds, Reader};
use crate::error::Result;
use crate::flag::Flag;
use crate::life::{Limit, Settings};
use crate::model::amounts::Amounts;
use crate::model::bulk::{read_bulk_equations, read_bulk_reactions};
use crate::model::caps::Caps;
use crate::model::contents::{
    cautions, component_names, dissolved_g_mol, elements_of, fresh_bath, fresh_per_litre, holding, indexed,
};
use crate::model::database::chemistry_for;
use crate::model::decomposition::read_decomposition;
use crate::model::deposit::{check_deposit, read_density, read_deposit_elements};
use crate::model::doses::{FurtherSolution, further_solutions, read_dose_unit, read_feeds};
use crate::model::events::{EventSolution, event_solutions, read_events};
use crate::model::exchange::{exchanged_gases, read_exchanges};
use crate::model::film::read_film;
use crate::model::fit_record::read_fit_record;
use crate::model::heading::{read_activity, read_format, read_heading};
use crate::model::laws::read_half_reactions;
use crate::model::laws_in_use::{flag_uncontained, touched};
use crate::model::limits::read_limits;
use crate::model::make_up::{AT_MAKE_UP, IN_THE_LIFE};
use crate::model::make_up::{PhAdjustment, read_amounts, reagent_named, set_ph};
use crate::model::operation::{Starting, read_stated_energy, read_work};
use crate::model::partial_currents::read_kinetics;
use crate::model::ph_reagents::flag_differing;
use crate::model::policies::read_policies;
use crate::model::prices::read_cost;
use crate::model::roles::read_roles;
use crate::model::running::{read_drag_in, read_drag_out, read_level, read_programme, read_water_interval_s};
use crate::model::slots::Slots;
use crate::model::slurry::{check_bath, check_weight};
use crate::model::solver::read_settings;
use crate::model::substrates::{Substrate, Surface, family, read_surface, substrates_for};
use crate::model::warnings::{Warning, read_warnings};
use crate::model::{Heading, constant_sets, free_level, missing_enthalpies};
use crate::solution::chemistry::{HYDROXIDE, PROTON, WATER};
use crate::solution::{BathCouple, BathSolid, Chemistry, Equilibrium, Formula, Role};
use crate::stop::Stop;
use crate::surface::Start;
use crate::tank::{Forms, Loads, METAL, PhPolicy, REDUCTANT, ResolvedReaction, Roles, SetPoints, Tank, Work};
use bathkin_numerics::short;

/// A recipe resolved to indices: immutable, shareable between threads.
#[derive(Debug, Clone)]
pub struct Model {
    /// Heading.
    pub heading: Heading,
    /// Chemistry it draws on.
    pub chemistry: Chemistry,
    /// Tank.
    pub tank: Tank,
    /// Substrates of its metal and reductant.
    pub substrates: Vec<Substrate>,
    /// What is plated.
    pub surface: Surface,
    /// Totals of the fresh bath, mol/L, pH adjusted.
    pub fresh_totals_mol_l: Vec<f64>,
    /// What was weighed out, g/L, without the pH adjustment.
    pub make_up_g_l: Vec<(String, f64)>,
    /// What set the pH.
    pub ph_adjustment: Option<PhAdjustment>,
    /// Limits.
    pub limits: Vec<Limit>,
    /// Caps of substrates that are not plated.
    pub limits_of_other_work: Vec<Limit>,
    /// Warnings the recipe gives about itself.
    pub warnings: Vec<Warning>,
    /// Clock zero of a calendar of racks, seconds since 1970-01-01 00:00, where dates tell it.
    pub calendar_zero_s: Option<f64>,
    /// How a life is computed.
    pub settings: Settings,
    /// Roles of each component, in the order of the totals.
    pub roles: Vec<Vec<Role>>,
    /// Warnings found when reading.
    pub flags: Vec<Flag>,
}

impl Model {
    /// The same, whose solutions heed `stop`.
    pub(crate) fn heeding(mut self, stop: &Stop) -> Self {
        self.tank.equilibrium = Equilibrium::clone(&self.tank.equilibrium).heeding(stop).into();
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
    stop.go_on()?;
    let reader = Reader::new(document);
    read_format(&reader)?;
    // Laid below this document when it was read.
    reader.optional_text("base")?;
    let chemistry = chemistry_for(document)?;
    let heading = read_heading(&reader)?;
    for entry in document.entries() {
        // The chemistry has checked its own tables already.
        let own = crate::model::database::TABLES.iter().chain(&crate::model::substrates::TABLES);
        if own.into_iter().any(|table| entry.path.starts_with(&format!("{table}."))) {
            reader.entry(&entry.path);
        }
    }

    let substrates = substrates_for(document, &heading)?;
    let surface = read_surface(&reader, &substrates.known, &heading.metal)?;

    let make_up = read_amounts(&reader, &chemistry, "make_up")?;
    let ph_reagent = reagent_named(&reader, &chemistry, AT_MAKE_UP)?;
    let corrector_path = IN_THE_LIFE;
    let corrector = reagent_named(&reader, &chemistry, corrector_path)?.or(ph_reagent);
    let metal_solution = read_amounts(&reader, &chemistry, "replenisher.metal")?;
    let reductant_solution = read_amounts(&reader, &chemistry, "replenisher.reductant")?;
    let half_reactions = read_half_reactions(&reader, &chemistry)?;
    let bulk_equations = read_bulk_equations(&reader, &chemistry)?;

    let gases = exchanged_gases(&reader, &chemistry)?;
    let (drag_in_l_m2, drag_in_holds) = read_drag_in(&reader, &chemistry)?;
    let further = further_solutions(&reader, &chemistry)?;
    let event_pours = event_solutions(&reader, &chemistry)?;

    let names = component_names(
        &chemistry,
        [&make_up, &metal_solution, &reductant_solution, &drag_in_holds]
            .into_iter()
            .chain(further.iter().map(FurtherSolution::amounts))
            .chain(event_pours.iter().map(EventSolution::amounts))
            .flat_map(Amounts::components)
            .chain(
                ph_reagent.iter().chain(&corrector).flat_map(|reagent| reagent.gives.iter().map(|(i, _)| *i)),
            )
            .chain(half_reactions.iter().flat_map(|reaction| reaction.liquid.iter().map(|(i, _)| *i)))
            .chain(bulk_equations.iter().flat_map(|reaction| reaction.liquid.iter().map(|(i, _)| *i)))
            .chain(gases.iter().flat_map(|gas| gas.forms_from.iter().map(|(i, _)| *i))),
    );
    let activity = read_activity(&reader)?;
    let equilibrium = Equilibrium::new(&chemistry, &names, activity).per_litre(&chemistry).heeding(stop);
    let slots = Slots { chemistry: &chemistry, names: &names, equilibrium: &equilibrium };
    let roles = Roles {
        metal: slots.role(&reader, "metal", &heading.metal)?,
        reductant: slots.role(&reader, "reductant", &heading.reductant)?,
        by_product: slots.role(&reader, "by_product", &heading.by_product)?,
    };
    let temperature_k = ZERO_CELSIUS_K
        + reader.number(
            "operation.temperature_c",
            Bounds::between(
                0.0,
                100.0,
                "a temperature between 0 and 100 degC, the boiling point of an open bath",
            ),
        )?;
    read_stated_energy(&reader)?;
    let cooled = reader.choice("operation.ph_reading", &[("hot", false), ("cooled", true)])?;
    let ph_temperature_k = if cooled { REFERENCE_TEMPERATURE_K } else { temperature_k };
    let ph_wanted = reader.optional("operation.ph", Bounds::between(0.0, 14.0, "a pH between 0 and 14"))?;

    let mut totals = slots.totals(&make_up);
    for (role, slot) in [("metal", roles.metal), ("reductant", roles.reductant)] {
        if totals[slot] <= 0.0 {
            return Err(reader.refuse(
                &format!("make_up ({role})"),
                &format!("a reagent that brings {}", names[slot]),
                None,
            ));
        }
    }
    check_bath(&reader, &equilibrium, &make_up, &totals, make_up.solutes_g_l(&chemistry))?;
    let (ph, ph_adjustment) = set_ph(
        &reader,
        &equilibrium,
        &mut totals,
        ph_reagent.map(|r| (r, slots.gives(r))),
        ph_wanted,
        ph_temperature_k,
    )?;

    let kinetics = read_kinetics(&reader, &slots, &half_reactions, &heading.metal)?;
    let liquid: Vec<Formula> = names
        .iter()
        .map(String::as_str)
        .chain([PROTON, WATER])
        .filter_map(|name| chemistry.component(name))
        .map(|index| chemistry.components[index].formula.clone())
        .collect();
    let deposited = elements_of(half_reactions.iter().map(|reaction| &reaction.deposit));
    let evolved = elements_of(
        half_reactions
            .iter()
            .map(|reaction| &reaction.gas)
            .chain(bulk_equations.iter().map(|reaction| &reaction.gas)),
    );
    let settled = elements_of(bulk_equations.iter().map(|reaction| &reaction.solid));
    let reactions: Vec<ResolvedReaction> = half_reactions
        .iter()
        .map(|reaction| ResolvedReaction {
            liquid: reaction.liquid.iter().map(|(index, n)| (slots.liquid_slot(*index), *n)).collect(),
            deposit: indexed(&deposited, &reaction.deposit),
            gas: indexed(&evolved, &reaction.gas),
        })
        .collect();
    let (metal_element, alloy_elements, alloy) = read_deposit_elements(
        &reader,
        &deposited,
        kinetics.half_reactions()[kinetics.metal()].deposit.keys().next(),
    )?;

    let volume_l = reader.number("tank.volume_l", Bounds::POSITIVE)?;
    let ph_corrector_g_l = reader.number_or("ph_control.corrector_g_l", Bounds::POSITIVE, 200.0)?;
    let policies = read_policies(&reader, corrector.is_some())?;
    if policies.ph != PhPolicy::Off {
        flag_differing(&reader, &chemistry, ph_adjustment.as_ref(), corrector, ph_corrector_g_l);
    }
    let corrector_solution =
        corrector.map(|reagent| Amounts::single(reagent, ph_corrector_g_l)).unwrap_or_default();
    check_weight(&reader, "ph_control.corrector_g_l", &corrector_solution)?;
    let mut replenishers = vec![
        slots.replenisher(
            &reader,
            "replenisher.metal",
            "metal replenisher",
            &metal_solution,
            Some(roles.metal),
        )?,
        slots.replenisher(
            &reader,
            "replenisher.reductant",
            "reductant replenisher",
            &reductant_solution,
            Some(roles.reductant),
        )?,
        slots.replenisher(
            &reader,
            corrector_path,
            &corrector.map_or_else(
                || "none".to_owned(),
                |reagent| format!("{} {} g/L", reagent.title, short(ph_corrector_g_l)),
            ),
            &corrector_solution,
            None,
        )?,
    ];
    let drag_in = (drag_in_l_m2 > 0.0).then_some(replenishers.len());
    if drag_in.is_some() {
        let mut carried = slots.replenisher(&reader, "drag_in", "drag-in", &drag_in_holds, None)?;
        carried.turns_over = false;
        replenishers.push(carried);
    }
    for (which, path, slot) in
        [(METAL, "replenisher.metal", roles.metal), (REDUCTANT, "replenisher.reductant", roles.reductant)]
    {
        let unit = read_dose_unit(&reader, path, &replenishers[which], Some(slot), &totals)?;
        replenishers[which].dose_unit = unit;
    }
    let feeds = read_feeds(&reader, &slots, &further, &totals, volume_l, &mut replenishers)?;
    let fresh = fresh_per_litre(&totals, &liquid);
    let events = read_events(&reader, &slots, &event_pours, fresh, &liquid, volume_l, &mut replenishers)?;
    let decomposition = read_decomposition(&reader, &slots)?;
    let forms = Forms {
        metal: holding(&chemistry, &equilibrium, &heading.metal),
        reductant: holding(&chemistry, &equilibrium, &heading.reductant),
    };
    // Above this a pH reading says less than the alkali: 0.1 pH is a quarter of it.
    const CONTROLLED_BY_ALKALI_PH: f64 = 10.0;
    let mut tank = Tank {
        solids: BathSolid::of_bath(&chemistry, &equilibrium).into(),
        couples: BathCouple::of_bath(&chemistry, &equilibrium).into(),
        bulk: read_bulk_reactions(&reader, &slots, &bulk_equations, &evolved, &settled)?.into(),
        settled,
        film: read_film(&reader, &slots, roles.metal, &reactions)?,
        exchanges: read_exchanges(&reader, &slots, &equilibrium, &gases)?,
        kinetics: kinetics.into(),
        decomposition,
        reactions: reactions.into(),
        liquid_g_mol: liquid
            .iter()
            .map(|formula| formula.molar_mass_g_mol(&chemistry.atomic_weights))
            .collect::<std::result::Result<_, _>>()
            .map_err(|what| reader.refuse("elements", "an atomic weight for every element", Some(what)))?,
        liquid: liquid.into(),
        dissolved_g_mol: dissolved_g_mol(&chemistry, &equilibrium),
        deposited_g_mol: deposited
            .iter()
            .map(|element| chemistry.atomic_weights.get(element).copied().unwrap_or(0.0))
            .collect(),
        deposited,
        metal_element,
        alloy_elements,
        evolved,
        density: read_density(&reader)?,
        forms,
        hydroxide: (ph > CONTROLLED_BY_ALKALI_PH)
            .then(|| equilibrium.substance_names().position(|name| name == HYDROXIDE))
            .flatten(),
        roles,
        volume_l,
        temperature_k,
        set_points: SetPoints {
            metal_mol_l: totals[roles.metal],
            reductant_mol_l: totals[roles.reductant],
            ph,
            ph_temperature_k,
        },
        // The induction of a rack hangs on the rate of the fresh tank: filled in below.
        work: Work::Loads(Loads::new(Vec::new())),
        level: read_level(&reader, volume_l)?,
        programme: read_programme(&reader)?,
        open_surface_m2: reader.optional("tank.open_surface_m2", Bounds::POSITIVE)?,
        evaporation_l_h: reader.number_or("tank.evaporation_l_h", Bounds::NOT_NEGATIVE, 0.0)?,
        water_interval_s: read_water_interval_s(&reader)?,
        drag_out: read_drag_out(&reader)?,
        drag_in_l_m2,
        drag_in,
        events,
        bleed_per_turnover: reader.number_or("tank.bleed_per_turnover", Bounds::NOT_NEGATIVE, 0.0)?,
        bleed_l_h: reader.number_or("tank.bleed_l_h", Bounds::NOT_NEGATIVE, 0.0)?,
        replenishers,
        feeds,
        policies,
        ph_corrector_g_l,
        alloy,
        cost: None,
        equilibrium: equilibrium.into(),
    };
    free_level::check_solutions(&reader, tank.level, &tank)?;
    check_deposit(&reader, &tank, &totals)?;
    let fresh = fresh_bath(&tank, &totals)?;
    check_bath(&reader, &tank.equilibrium, &make_up, &totals, fresh.solutes_g_l(&tank))?;
    let deposition_um_h = fresh.growth_um_s * SECONDS_PER_HOUR;
    let starting = Starting { surface: &surface, substrates: &substrates.known, deposition_um_h };
    let calendar_zero_s;
    (tank.work, calendar_zero_s) = read_work(&reader, volume_l, &starting)?;
    let solutions = [&metal_solution, &reductant_solution, &corrector_solution];
    let poured = event_pours.iter().map(|pour| (pour.name(), pour.amounts()));
    let priced: Vec<(&str, &Amounts)> =
        further.iter().map(|solution| (solution.name(), solution.amounts())).chain(poured).collect();
    tank.cost = read_cost(&reader, &chemistry, &tank, &make_up, ph_adjustment.as_ref(), solutions, &priced)?;
    let caps = Caps { of: &substrates, surface: &surface, work: &tank.work, family: &family(&heading) };
    let limits = read_limits(&reader, &chemistry, &tank, &fresh, &caps)?;
    let settings = read_settings(&reader)?;
    let warnings = read_warnings(&reader, &tank)?;
    let roles = read_roles(
        &reader,
        &Slots { chemistry: &chemistry, names: &names, equilibrium: &tank.equilibrium },
        &tank,
    )?;
    let weighed_out = [&make_up, &metal_solution, &reductant_solution, &drag_in_holds]
        .into_iter()
        .chain(further.iter().map(FurtherSolution::amounts))
        .chain(event_pours.iter().map(EventSolution::amounts));
    let mut by_hand = touched(weighed_out);
    for (path, reagent) in [(AT_MAKE_UP, ph_reagent), (IN_THE_LIFE, corrector)] {
        let changed = reagent.filter(|_| reader.is_changed(path));
        by_hand.extend(changed.into_iter().flat_map(|one| chemistry.purpose_beyond_counter_ions(one)));
    }
    read_fit_record(&reader)?;
    let switched = constant_sets::doubts(&reader, &chemistry, &tank.equilibrium, &tank.solids)?;
    let mut flags = reader.finish()?;
    flags.extend(switched);
    flags.extend(missing_enthalpies::missing(&chemistry, &tank));
    flags.extend(substrates.flags);
    flags.extend(cautions(&chemistry, &names));
    flags.extend(flag_uncontained(&chemistry, &tank, &roles, &by_hand));
    if !heading.backing.starts_with("published") {
        flags.insert(0, Flag { r#where: "recipe".to_owned(), what: heading.backing.clone() });
    }
    Ok(Model {
        heading,
        tank,
        substrates: substrates.known,
        surface,
        fresh_totals_mol_l: totals,
        make_up_g_l: make_up.grams(),
        ph_adjustment,
        limits: limits.ending,
        limits_of_other_work: limits.of_other_work,
        warnings,
        calendar_zero_s,
        settings,
        roles,
        flags,
        chemistry,
    })
}
