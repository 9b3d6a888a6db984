//! The mixed potential against SciPy, and what must hold whatever the numbers are.

use bathkin::constants::{FARADAY_C_MOL, LN_10};
use bathkin::surface::{
    BackReaction, Concentration, Conditions, Factor, HalfReaction, Kinetics, MixedPotential, Order,
    PartialCurrent, RateLaw, ReferencePotential, Shift, Shifter, Transport,
};
use num_dual::Dual64;
use proptest::prelude::*;

use support::recipes::{atomic_weight, fixed_cases};
use support::{Csv, Row, assert_relative, assert_within};

/// Metal, proton, another reduction, the oxidation: electrons given.
const ELECTRONS: [f64; 4] = [-2.0, -2.0, -1.0, 1.0];
const METAL: Concentration = Concentration::Dissolved(0);
const FUEL: Concentration = Concentration::Total(1);

fn law(current: f64) -> RateLaw {
    RateLaw { value_at_reference: current, factors: vec![] }
}

fn reversible(
    current: f64,
    e0_v: f64,
    slope_v_k: f64,
    alpha: f64,
    beta: f64,
    shift: Shift,
) -> PartialCurrent {
    PartialCurrent {
        current: law(current),
        transfer_coefficient: alpha,
        reference: ReferencePotential { at_25c_v: e0_v, slope_v_k },
        back: Some(BackReaction { transfer_coefficient: beta, electrons: 2.0, shifts: vec![shift] }),
        transport: None,
    }
}

fn tafel(current: f64, at_v: f64, alpha: f64) -> PartialCurrent {
    PartialCurrent {
        current: law(current),
        transfer_coefficient: alpha,
        reference: ReferencePotential { at_25c_v: at_v, slope_v_k: 0.0 },
        back: None,
        transport: None,
    }
}

/// A coefficient at the temperature it is used at.
fn transport(
    coefficient_temperature_k: f64,
    of: Concentration,
    coefficient_m_s: f64,
    electrons_per_mole: f64,
) -> Transport {
    Transport { of, coefficient_m_s, coefficient_temperature_k, electrons_per_mole }
}

/// The partial currents of a row of mixed_potential_scipy.csv.
fn partials(row: &Row) -> Vec<PartialCurrent> {
    let of = |name: &str| row.number(name);
    let metal = Shift { of: Shifter::Of(METAL), moles: 1.0, ln_reference: of("metal_ref_mol_l").ln() };
    let proton = Shift { of: Shifter::Proton, moles: 2.0, ln_reference: -of("proton_ref_ph") * LN_10 };
    let metal = reversible(
        of("metal_i0_a_m2"),
        of("metal_e0_v"),
        of("metal_slope_v_k"),
        of("metal_alpha"),
        of("metal_beta"),
        metal,
    );
    let fuel = tafel(of("fuel_i_a_m2"), of("fuel_e_v"), of("fuel_alpha"));
    vec![
        PartialCurrent {
            transport: Some(transport(of("temperature_k"), METAL, of("metal_km_m_s"), 2.0)),
            ..metal
        },
        reversible(of("proton_i0_a_m2"), 0.0, 0.0, of("proton_alpha"), of("proton_beta"), proton),
        tafel(of("other_i_a_m2"), of("other_e_v"), of("other_alpha")),
        PartialCurrent {
            transport: Some(transport(of("temperature_k"), FUEL, of("fuel_km_m_s"), 1.0)),
            ..fuel
        },
    ]
}

fn surface(partials: Vec<PartialCurrent>) -> MixedPotential {
    MixedPotential::new(partials.into_iter().zip(ELECTRONS).collect()).expect("a surface")
}

fn conditions(temperature_k: f64, ph: f64, concentrations: &[f64; 2]) -> Conditions<'_> {
    Conditions {
        temperature_k,
        ph,
        ionic_strength_mol_l: 1.0,
        totals_mol_l: concentrations,
        dissolved_mol_l: concentrations,
    }
}

fn state(row: &Row) -> (f64, f64, [f64; 2]) {
    let of = |name: &str| row.number(name);
    (of("temperature_k"), of("ph"), [of("metal_mol_l"), of("fuel_mol_l")])
}

/// Producer: mixed_potential_scipy.csv, brentq on the same equations in their classical form.
#[test]
fn potential_and_partial_currents_agree_with_scipy() {
    for (number, row) in Csv::reference("mixed_potential_scipy.csv").rows().enumerate() {
        let (kelvin, ph, concentrations) = state(&row);
        let at = conditions(kelvin, ph, &concentrations);
        let surface = surface(partials(&row));
        let potential = surface.potential_v(&at).expect("a mixed potential");
        assert_within(format!("potential, row {number}"), potential, row.number("potential_v"), 1e-13);
        let point = &surface.polarisation(&at, &[potential])[0];
        let largest = point.currents_a_m2.iter().fold(0.0_f64, |most, current| most.max(current.abs()));
        for (name, current) in ["metal", "proton", "other", "fuel"].iter().zip(&point.currents_a_m2) {
            let expected = row.number(&format!("{name}_a_m2"));
            assert_within(format!("{name}, row {number}"), *current, expected, 1e-11 * largest);
        }
        assert!(point.total_a_m2().abs() < 1e-12 * largest, "row {number}: {} left over", point.total_a_m2());
    }
}

/// Half-reactions that give so many electrons, at their mixed potential.
fn kinetics(partials: Vec<PartialCurrent>) -> Kinetics {
    let half_reaction = |electrons: &f64| HalfReaction {
        name: String::new(),
        liquid: vec![],
        deposit: [].into(),
        gas: [].into(),
        electrons: *electrons,
    };
    let all = ELECTRONS[..partials.len()].iter().map(half_reaction).collect();
    Kinetics::at_mixed_potential(all, partials, 0).expect("a surface")
}

/// Producer: mixed_potential_scipy.csv, i/(n F). Wherever the search begins: nowhere, at the root, a hair, a bend and a volt
/// from it, beyond the range; what it leaves is the root, and nothing where there is none.
#[test]
fn rates_do_not_depend_on_where_the_search_begins() {
    for (number, row) in Csv::reference("mixed_potential_scipy.csv").rows().enumerate() {
        let (kelvin, ph, concentrations) = state(&row);
        let at = conditions(kelvin, ph, &concentrations);
        let kinetics = kinetics(partials(&row));
        let root = row.number("potential_v");
        let currents = ["metal", "proton", "other", "fuel"].map(|name| row.number(&format!("{name}_a_m2")));
        let largest = currents.iter().fold(0.0_f64, |most, current| most.max(current.abs()));
        let starts = [0.0, 1e-9, -0.019, 0.021, 1.0, -1.0, 1e3].map(|off| Some(root + off));
        for start in [None].into_iter().chain(starts) {
            let (mut near, mut rates) = (start, [f64::NAN; 4]);
            kinetics.rates_near(&at, &mut rates, &mut near);
            let found = near.unwrap_or_else(|| panic!("row {number} from {start:?}: no potential"));
            // One more step of Newton's method follows: it need only be close.
            assert_within(format!("potential, row {number} from {start:?}"), found, root, 1e-9);
            for ((rate, current), electrons) in rates.iter().zip(currents).zip(ELECTRONS) {
                let what = format!("rate, row {number} from {start:?}");
                assert_within(what, rate * electrons * FARADAY_C_MOL, current, 1e-10 * largest);
            }
        }
    }
    let fuel =
        PartialCurrent { transport: Some(transport(350.0, FUEL, 1e-5, 1.0)), ..tafel(10.0, -0.4, 0.5) };
    let metal = || tafel(10.0, -0.4, 0.5);
    let one_way = kinetics(vec![metal(), metal(), metal(), fuel]);
    let (mut near, mut rates) = (Some(-0.4), [f64::NAN; 4]);
    one_way.rates_near(&conditions(350.0, 4.8, &[0.1, 0.0]), &mut rates, &mut near);
    assert_eq!((near, rates), (None, [0.0; 4]), "nothing gives electrons");
}

/// Producer: Nernst's equation. With nothing else a partial current stands at its own equilibrium potential.
#[test]
fn a_branch_alone_stands_at_its_equilibrium_potential() {
    for row in Csv::reference("mixed_potential_scipy.csv").rows() {
        let (kelvin, ph, concentrations) = state(&row);
        let at = conditions(kelvin, ph, &concentrations);
        let mut only = partials(&row);
        for (place, partial) in only.iter_mut().enumerate() {
            partial.current.value_at_reference *= f64::from(u8::from(place == 0));
        }
        let volts = 8.314_462_618_153_24 * kelvin / FARADAY_C_MOL;
        let nernst = row.number("metal_e0_v")
            + row.number("metal_slope_v_k") * (kelvin - 298.15)
            + volts / 2.0 * concentrations[0].ln();
        assert_within("E_ref", only[0].reference_potential_v(&at, false), nernst, 1e-14);
        assert_within("alone", surface(only).potential_v(&at).expect("one"), nernst, 1e-13);
    }
}

/// Producer: the limit itself. A diffusion layer that is thin enough leaves the kinetics alone, one that
/// is thick enough leaves only itself.
#[test]
fn transport_vanishes_and_takes_over() {
    let row = Csv::reference("mixed_potential_scipy.csv");
    let row = row.rows().next().expect("a row");
    let (kelvin, ph, concentrations) = state(&row);
    let at = conditions(kelvin, ph, &concentrations);
    let with = |coefficient_m_s: f64| {
        let mut partials = partials(&row);
        partials[0].transport = Some(transport(kelvin, METAL, coefficient_m_s, 2.0));
        partials[3].transport = Some(transport(kelvin, FUEL, coefficient_m_s, 1.0));
        surface(partials).potential_v(&at).expect("one")
    };
    let mut without = partials(&row);
    for partial in &mut without {
        partial.transport = None;
    }
    let free = surface(without).potential_v(&at).expect("one");
    assert_within("no transport", with(1e12), free, 1e-12);
    assert!((with(1e-9) - free).abs() > 1e-3);
    let starved =
        PartialCurrent { transport: Some(transport(kelvin, FUEL, 1e-9, 1.0)), ..tafel(100.0, -0.4, 0.5) };
    let limit = 1e-9 * concentrations[1] * 1e3 * FARADAY_C_MOL;
    assert_relative("i_L", starved.current_a_m2(&at, true, 1.5), limit, 1e-9);
}

/// Producer: dual numbers against differences of roots.
#[test]
fn the_derivative_of_the_potential_is_exact() {
    let dual = |x: f64| Dual64::from(x);
    let over = |kelvin: Dual64, ph: Dual64| {
        let fuel = PartialCurrent {
            current: RateLaw {
                value_at_reference: dual(150.0),
                factors: vec![Factor::Order(Order {
                    of: FUEL,
                    order: dual(0.54),
                    reference_mol_l: dual(0.28),
                    valid_from_mol_l: None,
                })],
            },
            transfer_coefficient: dual(0.6),
            reference: ReferencePotential { at_25c_v: dual(-0.4), slope_v_k: dual(0.0) },
            back: None,
            transport: Some(Transport {
                of: FUEL,
                coefficient_m_s: dual(1e-5),
                coefficient_temperature_k: 298.15,
                electrons_per_mole: 1.0,
            }),
        };
        let proton = PartialCurrent {
            current: RateLaw { value_at_reference: dual(0.7), factors: vec![] },
            transfer_coefficient: dual(0.55),
            reference: ReferencePotential { at_25c_v: dual(0.0), slope_v_k: dual(0.0) },
            back: Some(BackReaction {
                transfer_coefficient: dual(0.45),
                electrons: 2.0,
                shifts: vec![Shift { of: Shifter::Proton, moles: 2.0, ln_reference: -4.8 * LN_10 }],
            }),
            transport: None,
        };
        let concentrations = [dual(0.1), dual(0.28)];
        let at = Conditions {
            temperature_k: kelvin,
            ph,
            ionic_strength_mol_l: dual(1.0),
            totals_mol_l: &concentrations,
            dissolved_mol_l: &concentrations,
        };
        let surface = MixedPotential::new(vec![(fuel, 1.0), (proton, -2.0)]).expect("a surface");
        surface.potential_v(&at).expect("one")
    };
    let value = |kelvin: f64, ph: f64| over(dual(kelvin), dual(ph)).re;
    let (kelvin, ph, h) = (350.0, 4.6, 1e-4);
    let by_kelvin = (value(kelvin + h, ph) - value(kelvin - h, ph)) / (2.0 * h);
    let by_ph = (value(kelvin, ph + h) - value(kelvin, ph - h)) / (2.0 * h);
    assert_relative("dE/dT", over(dual(kelvin).derivative(), dual(ph)).eps, by_kelvin, 1e-6);
    assert_relative("dE/dpH", over(dual(kelvin), dual(ph).derivative()).eps, by_ph, 1e-6);
}

/// Producer: conservation. Without fuel and without back reactions nothing runs, and no NaN comes up.
#[test]
fn used_up_substances_stop_their_branch_without_nan() {
    let table = Csv::reference("mixed_potential_scipy.csv");
    for row in table.rows() {
        let (kelvin, ph, _) = state(&row);
        for concentrations in [[0.0, 0.1], [0.1, 0.0], [0.0, 0.0], [-1e-18, -1e-18]] {
            let at = conditions(kelvin, ph, &concentrations);
            let surface = surface(partials(&row));
            let potential = surface.potential_v(&at).expect("protons are left");
            let point = &surface.polarisation(&at, &[potential])[0];
            assert!(point.currents_a_m2.iter().all(|current| current.is_finite()), "{point:?}");
            assert!(concentrations[0] > 0.0 || point.currents_a_m2[0] >= 0.0, "no metal is deposited");
        }
    }
    let one_way = MixedPotential::new(vec![
        (tafel(10.0, -0.4, 0.5), -2.0),
        (
            PartialCurrent { transport: Some(transport(350.0, FUEL, 1e-5, 1.0)), ..tafel(10.0, -0.4, 0.5) },
            1.0,
        ),
    ])
    .expect("a surface");
    assert!(one_way.potential_v(&conditions(350.0, 4.8, &[0.1, 0.1])).is_some());
    assert_eq!(one_way.potential_v(&conditions(350.0, 4.8, &[0.1, 0.0])), None);
}

proptest! {
    #![proptest_config(fixed_cases(400))]

    /// Producer: monotonic functions. Every partial current rises with the potential, so that the total
    /// crosses zero once.
    #[test]
    fn the_total_current_rises_so_that_the_root_is_unique(
        i in prop::collection::vec(-6.0..4.0_f64, 4),
        e in prop::collection::vec(-1.2..0.8_f64, 4),
        alpha in prop::collection::vec(0.1..2.0_f64, 6),
        c in prop::collection::vec(-6.0..0.5_f64, 2),
        (kelvin, ph, ln_km) in (275.0..370.0_f64, 0.0..14.0_f64, -18.0..-5.0_f64),
    ) {
        let of = |place: usize| 10_f64.powf(i[place]);
        let metal = Shift { of: Shifter::Of(METAL), moles: 1.0, ln_reference: -2.0 };
        let proton = Shift { of: Shifter::Proton, moles: 2.0, ln_reference: -11.0 };
        let metal = reversible(of(0), e[0], 1e-4, alpha[0], alpha[1], metal);
        let surface = surface(vec![
            PartialCurrent { transport: Some(transport(kelvin, METAL, ln_km.exp(), 2.0)), ..metal },
            reversible(of(1), 0.0, 0.0, alpha[2], alpha[3], proton),
            tafel(of(2), e[2], alpha[4]),
            PartialCurrent { transport: Some(transport(kelvin, FUEL, ln_km.exp(), 1.0)), ..tafel(of(3), e[3], alpha[5]) },
        ]);
        let concentrations = [10_f64.powf(c[0]), 10_f64.powf(c[1])];
        let at = conditions(kelvin, ph, &concentrations);
        let potentials: Vec<f64> = (-150..=150).map(|step| f64::from(step) / 100.0).collect();
        let points = surface.polarisation(&at, &potentials);
        for pair in points.windows(2) {
            for (before, after) in pair[0].currents_a_m2.iter().zip(&pair[1].currents_a_m2) {
                prop_assert!(after - before >= -1e-12 * before.abs(), "{before} then {after}");
            }
        }
        let root = surface.potential_v(&at).expect("protons go both ways");
        let point = &surface.polarisation(&at, &[root])[0];
        let largest = point.currents_a_m2.iter().fold(0.0_f64, |most, current| most.max(current.abs()));
        // A partial current near its equilibrium is a small difference of large currents: there the potential is
        // as good as a potential can be, and the sum only as good as that.
        let beside = surface.polarisation(&at, &[root - 1e-6, root + 1e-6]);
        let a_m2_v = (beside[1].total_a_m2() - beside[0].total_a_m2()) / 2e-6;
        let rounding = 1e-12 * largest + 1e-14 * a_m2_v;
        prop_assert!(point.total_a_m2().abs() <= rounding, "{point:?}");
    }
}

/// Producer: Nernst's diffusion layer, 2 F D c/delta for 0.04 mol/L copper, D = 5e-10 m²/s, 100 um:
/// 3.9 mA/cm², 5.1 um/h of 8.96 g/cm³.
#[test]
fn copper_meets_its_diffusion_ceiling() {
    let ceiling = transport(298.15, METAL, 5e-10 / 100e-6, 2.0);
    let concentrations = [0.04, 0.0];
    let a_m2 = ceiling.limiting_current_a_m2(&conditions(298.15, 12.5, &concentrations));
    assert_within("mA/cm2", a_m2 * 0.1, 3.9, 0.05);
    let um_h = a_m2 / (2.0 * FARADAY_C_MOL) * atomic_weight("Cu") / 8.96 * 3600.0;
    assert_within("um/h", um_h, 5.1, 0.05);
    // Twice as much at 50 degC as at 20, as T over the viscosity of water (1.0016 and 0.5465 mPa s).
    let at = |kelvin: f64| ceiling.limiting_current_a_m2(&conditions(kelvin, 12.5, &concentrations));
    assert_relative("50 over 20 degC", at(323.15) / at(293.15), 323.15 / 0.546516 / (293.15 / 1.0016), 2e-4);
}
