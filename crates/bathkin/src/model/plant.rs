//! The tank as a recipe writes it: what of it does not follow from the fresh bath, and the solutions it is fed with.

use crate::document::reader::{Bounds, Reader, Role};
use crate::error::Result;
use crate::model::Heading;
use crate::model::amounts::Amounts;
use crate::model::contents::{dissolved_g_mol, holding};
use crate::model::deposit::{read_density, read_deposit_elements};
use crate::model::doses::read_dose_unit;
use crate::model::law_slots::LawSlots;
use crate::model::make_up::IN_THE_LIFE;
use crate::model::policies::read_policies;
use crate::model::running::{read_drag_out, read_programme, read_water_interval_s};
use crate::model::slots::Slots;
use crate::model::solutions::Solutions;
use crate::solution::{BathCouple, BathSolid};
use crate::tank::{
    BathChemistry, Forms, Level, Loads, METAL, Operation, Plant, REDUCTANT, Roles, SetPoints, Tank, Work,
};
use bathkin_numerics::short;

/// The tank without what follows from its fresh bath: that is written in afterwards.
pub(crate) fn read_tank(
    reader: &Reader,
    slots: &Slots,
    heading: &Heading,
    laws: &LawSlots,
    solutions: &Solutions,
    roles: Roles,
) -> Result<Tank> {
    let (chemistry, equilibrium, matter) = (slots.chemistry, slots.equilibrium, &laws.matter);
    let in_use = laws.at(&[]);
    let deposits = in_use.kinetics.half_reactions()[in_use.kinetics.metal()].deposit.keys().next();
    let (metal_element, alloy_elements, alloy) = read_deposit_elements(reader, &matter.deposited, deposits)?;
    let policies = read_policies(reader, solutions.corrector.is_some())?;
    let masses = matter.liquid.iter().map(|formula| formula.molar_mass_g_mol(&chemistry.atomic_weights));
    let masses: std::result::Result<Vec<f64>, String> = masses.collect();
    let weight = |element| chemistry.atomic_weights.get(element).copied().unwrap_or(0.0);
    Ok(Tank {
        bath: BathChemistry {
            solids: BathSolid::of_bath(chemistry, equilibrium).into(),
            couples: BathCouple::of_bath(chemistry, equilibrium).into(),
            dissolved_g_mol: dissolved_g_mol(chemistry, equilibrium),
            equilibrium: equilibrium.clone().into(),
            kinetics: in_use.kinetics.into(),
            decomposition: in_use.decomposition,
            film: laws.film.clone(),
            reactions: matter.reactions.clone(),
            bulk: in_use.bulk.into(),
            liquid_g_mol: masses.map_err(|what| {
                reader.refuse("elements", "an atomic weight for every element", Some(what))
            })?,
            liquid: matter.liquid.clone(),
            deposited_g_mol: matter.deposited.iter().map(weight).collect(),
            deposited: matter.deposited.clone(),
            metal_element,
            alloy_elements,
            evolved: matter.evolved.clone(),
            settled: matter.settled.clone(),
            density: read_density(reader)?,
            roles,
            forms: Forms {
                metal: holding(chemistry, equilibrium, &heading.metal),
                reductant: holding(chemistry, equilibrium, &heading.reductant),
            },
            hydroxide: None,
            alloy,
        },
        plant: Plant {
            exchanges: laws.exchanges.clone(),
            volume_l: 0.0,
            level: Level::Held,
            open_surface_m2: reader.optional("tank.open_surface_m2", Bounds::POSITIVE)?,
            evaporation_l_h: reader.number_or("tank.evaporation_l_h", Bounds::NOT_NEGATIVE, 0.0)?,
        },
        operation: Operation {
            temperature_k: 0.0,
            programme: read_programme(reader)?,
            water_interval_s: read_water_interval_s(reader)?,
            set_points: SetPoints { metal_mol_l: 0.0, reductant_mol_l: 0.0, ph: 0.0, ph_temperature_k: 0.0 },
            work: Work::Loads(Loads::new(Vec::new())),
            drag_out: read_drag_out(reader)?,
            drag_in_l_m2: solutions.drag_in_l_m2,
            drag_in: None,
            events: Vec::new(),
            bleed_per_turnover: reader.number_or("tank.bleed_per_turnover", Bounds::NOT_NEGATIVE, 0.0)?,
            bleed_l_h: reader.number_or("tank.bleed_l_h", Bounds::NOT_NEGATIVE, 0.0)?,
            replenishers: Vec::new(),
            feeds: Vec::new(),
            electrode_ph: 0.0,
            policies,
            ph_corrector_g_l: 0.0,
            cost: None,
        },
    })
}

/// The replenishers of metal, reductant and pH, and what is carried in, in the order of the tank.
pub(crate) fn read_replenishers(
    reader: &Reader,
    slots: &Slots,
    solutions: &Solutions,
    corrector: &Amounts,
    totals: &[f64],
    tank: &mut Tank,
) -> Result<()> {
    let corrector_title = solutions.corrector.as_ref().map_or_else(
        || "none".to_owned(),
        |reagent| format!("{} {} g/L", reagent.title, short(tank.operation.ph_corrector_g_l)),
    );
    let Roles { metal, reductant, .. } = tank.bath.roles;
    let of =
        |path, name: &str, amounts, must_bring| slots.replenisher(reader, path, name, amounts, must_bring);
    tank.operation.replenishers = vec![
        of("replenisher.metal", "metal replenisher", &solutions.metal, Some(metal))?,
        of("replenisher.reductant", "reductant replenisher", &solutions.reductant, Some(reductant))?,
        of(IN_THE_LIFE, &corrector_title, corrector, None)?,
    ];
    tank.operation.drag_in_l_m2 = solutions.drag_in_l_m2;
    tank.operation.drag_in = (tank.operation.drag_in_l_m2 > 0.0).then_some(tank.operation.replenishers.len());
    if tank.operation.drag_in.is_some() {
        let mut carried = of("drag_in", "drag-in", &solutions.drag_in, None)?;
        carried.turns_over = false;
        tank.operation.replenishers.push(carried);
    }
    for (which, path, slot) in
        [(METAL, "replenisher.metal", metal), (REDUCTANT, "replenisher.reductant", reductant)]
    {
        let unit = reader.with_role(Role::Tank, || {
            read_dose_unit(reader, path, &tank.operation.replenishers[which], Some(slot), totals)
        })?;
        tank.operation.replenishers[which].dose_unit = unit;
    }
    Ok(())
}
