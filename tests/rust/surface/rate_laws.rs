//! Factors of rate laws: one at their reference, one without what they follow, regular at nothing,
//! and with derivatives that agree with differences.

use bathkin::scalar::Scalar;
use bathkin::surface::{
    Accelerator, Adsorbate, Adsorption, Arrhenius, Concentration, Conditions, Factor, InhibitionForm,
    IonicStrength, Order, RateLaw, Stabilizer, Suppression,
};
use num_dual::Dual64;

use support::recipes::{power_law, set, um_h};
use support::stabilized::{extended, refused};
use support::{Csv, assert_relative, assert_within};

const OF: Concentration = Concentration::Total(0);

/// The value of a law of one factor at a concentration and an ionic strength.
fn value<D: Scalar>(factor: &Factor<D>, c: D, strength: D) -> D {
    let law = RateLaw { value_at_reference: D::from(1.0), factors: vec![factor.clone()] };
    law.value(&Conditions {
        temperature_k: D::from(361.15),
        ph: D::from(4.8),
        ionic_strength_mol_l: strength,
        totals_mol_l: &[c],
        dissolved_mol_l: &[c],
    })
}

fn strength<D: Scalar>(form: InhibitionForm, reference_mol_l: f64) -> Factor<D> {
    let (constant_mol_l, exponent) = (D::from(4.0), D::from(1.0));
    Factor::IonicStrength(IonicStrength { form, constant_mol_l, reference_mol_l, exponent })
}

fn stabilizer<D: Scalar>(set_point_mol_l: f64, stop_mol_l: f64) -> Factor<D> {
    Factor::Stabilizer(Stabilizer {
        of: OF,
        gain: D::from(0.2),
        trace_mol_l: D::from(0.3),
        critical_mol_l: D::from(4.5),
        steepness: D::from(3.5),
        stop_mol_l,
        set_point_mol_l,
    })
}

fn accelerator<D: Scalar>(reference_mol_l: f64) -> Factor<D> {
    let (gain, constant_mol_l) = (D::from(0.3), D::from(0.02));
    Factor::Accelerator(Accelerator { of: OF, gain, constant_mol_l, reference_mol_l })
}

fn suppression<D: Scalar>(reference_mol_l: f64) -> Factor<D> {
    Factor::Suppression(Suppression { of: OF, constant_mol_l: D::from(0.25), reference_mol_l })
}

/// Two substances on the sites, one of them steeply; in these tests they are the same one.
fn adsorption<D: Scalar>(reference_mol_l: f64) -> Factor<D> {
    let adsorbate = |constant: f64, power: f64| Adsorbate {
        of: OF,
        constant_l_mol: D::from(constant),
        power: D::from(power),
        reference_mol_l,
    };
    Factor::Adsorption(Adsorption {
        sites: D::from(2.0),
        adsorbates: vec![adsorbate(0.8, 1.0), adsorbate(0.3, 2.0)],
    })
}

/// Every new factor with its own reference (in whatever unit), which is 0.9.
fn factors<D: Scalar>(reference: f64) -> Vec<Factor<D>> {
    vec![
        strength(InhibitionForm::Exponential, reference),
        strength(InhibitionForm::Hyperbolic, reference),
        stabilizer(reference, f64::INFINITY),
        stabilizer(reference, 10.0),
        accelerator(reference),
        suppression(reference),
        adsorption(reference),
    ]
}

#[test]
fn every_factor_is_one_at_its_reference() {
    for reference in [0.0, 0.9, 2.5] {
        for factor in factors::<f64>(reference) {
            assert_within(format!("{factor:?}"), value(&factor, reference, reference), 1.0, 1e-14);
        }
    }
}

/// Nothing there, or a hair below it as an integrator's trial state may be: finite, and the same.
#[test]
fn nothing_of_the_substance_is_regular() {
    for factor in factors::<f64>(0.9) {
        let (none, below) = (value(&factor, 0.0, 0.0), value(&factor, -1e-15, 0.0));
        assert!(none.is_finite() && none > 0.0, "{factor:?}: {none}");
        assert_relative(format!("{factor:?}"), below, none, 1e-13);
    }
    for factor in factors::<Dual64>(0.9) {
        let slope = value(&factor, Dual64::from(0.0).derivative(), Dual64::from(0.0).derivative()).eps;
        assert!(slope.is_finite(), "{factor:?}: {slope}");
    }
}

#[test]
fn dual_numbers_agree_with_differences() {
    const H: f64 = 1e-6;
    for (exact, plain) in factors::<Dual64>(0.9).into_iter().zip(factors::<f64>(0.9)) {
        for c in [H, 0.05, 0.9, 3.7, 7.5] {
            let slope = value(&exact, Dual64::from(c).derivative(), Dual64::from(c).derivative()).eps;
            let difference = (value(&plain, c + H, c + H) - value(&plain, c - H, c - H)) / (2.0 * H);
            assert_within(format!("{plain:?} at {c}"), slope, difference, 1e-6 * slope.abs().max(1e-3));
        }
    }
}

/// Far away an accelerator gives its whole gain, and salt slows as its form says.
#[test]
fn limits_are_those_of_the_forms() {
    assert_within("plenty of accelerator", value(&accelerator(0.0), 1e6, 0.0), 1.3, 1e-6);
    assert_within(
        "exponential",
        value(&strength(InhibitionForm::Exponential, 0.0), 0.0, 4.0),
        (-1f64).exp(),
        1e-14,
    );
    assert_within("hyperbolic", value(&strength(InhibitionForm::Hyperbolic, 0.0), 0.0, 4.0), 0.5, 1e-14);
    assert_within(
        "hyperbolic, aged",
        value(&strength(InhibitionForm::Hyperbolic, 1.0), 0.0, 6.0),
        0.5,
        1e-14,
    );
    assert_eq!(value(&stabilizer(1.0, 10.0), 10.0, 0.0), 0.0, "nothing plates at the stop");
    let nearly = value::<f64>(&stabilizer(1.0, 10.0), 10.0 - 1e-6, 0.0);
    assert!(nearly > 0.0 && nearly < 1e-6, "and goes there without a jump: {nearly}");
}

/// A law of one order about a reference beside sites shared by three, each a substance of its own.
fn crowded(order: f64, c: [f64; 3]) -> (f64, Vec<f64>) {
    let adsorbate = |at: usize, constant_l_mol: f64| Adsorbate {
        of: Concentration::Total(at),
        constant_l_mol,
        power: 1.0,
        reference_mol_l: [0.28, 0.1, 0.0][at],
    };
    let adsorbates = vec![adsorbate(0, 1.44), adsorbate(1, 1.25), adsorbate(2, 0.062)];
    let law = RateLaw {
        value_at_reference: 1.0,
        factors: vec![
            Factor::Order(Order { of: OF, order, reference_mol_l: 0.28, valid_from_mol_l: None }),
            Factor::Adsorption(Adsorption { sites: 2.0, adsorbates }),
        ],
    };
    let at = Conditions {
        temperature_k: 361.15,
        ph: 4.8,
        ionic_strength_mol_l: 0.9,
        totals_mol_l: &c,
        dissolved_mol_l: &c,
    };
    (law.value(&at), law.factors_at(&at).into_iter().map(|(_, value)| value).collect())
}

/// Producer: the derivative of c^b/D^m set to zero, c* = b (D - K c)/(K (m - b)), where the substance takes
/// the share b/m of the sites; 1e-6 of the rate a hundredth beside it.
#[test]
fn a_substance_that_reacts_and_takes_sites_has_a_rate_of_its_own_maximum() {
    const B: f64 = 0.54;
    const K: f64 = 1.44;
    for other in [0.05, 0.1, 0.4] {
        let rest = 1.0 + 1.25 * other + 0.062;
        let top = B * rest / (K * (2.0 - B));
        assert_relative("share of the sites", K * top / (rest + K * top), B / 2.0, 1e-12);
        let rate = |c: f64| crowded(B, [c, other, 1.0]).0;
        assert!(rate(top) > rate(0.99 * top) && rate(top) > rate(1.01 * top), "{top}");
        let h = 1e-5 * top;
        let slope = (rate(top + h) - rate(top - h)) / (2.0 * h) * top / rate(top);
        assert_within("order at the maximum", slope, 0.0, 1e-8);
    }
    // Nobody on the sites leaves the power law.
    let bare = Adsorption { sites: 2.0, adsorbates: Vec::new() };
    assert_eq!(value(&Factor::Adsorption(bare), 0.7, 0.0), 1.0);
}

/// Each adsorbate is told apart, and what is told multiplies to the law; 1e-12.
#[test]
fn the_parts_of_shared_sites_multiply_to_the_factor() {
    for c in [[0.28, 0.1, 0.0], [0.28, 0.1 + 1e-10, 0.0], [0.1, 0.3, 2.0], [0.9, 0.0, 0.0]] {
        let (whole, parts) = crowded(0.54, c);
        assert_eq!(parts.len(), 4);
        assert_relative(format!("{c:?}"), parts.iter().product(), whole, 1e-12);
    }
    // Only what moved has done something.
    assert_eq!(crowded(0.54, [0.28, 0.1, 2.0]).1[..3], [1.0, 1.0, 1.0]);
}

/// Producer: the formula by hand, with what the bath's own speciation has.
#[test]
fn a_recipe_shares_the_sites_of_its_surface() {
    let ph = ("operation.ph", 5.4);
    let table = "[deposition.adsorption]\nsites = 2\n\
                 [deposition.adsorption.adsorbate.hydroxide]\nconstant_l_mol = 1.24e6\nreference_mol_l = 3.3e-8\n\
                 [deposition.adsorption.adsorbate.nickel]\nconstant_l_mol = 1.25\nbasis = \"total\"\nreference_mol_l = 0.1";
    let (plain, law) = (set(&extended(&[], &[]), &[ph]), set(&extended(&[], &[table]), &[ph]));
    let bath = law.make_up().expect("a bath");
    let of = |list: Vec<(String, f64)>, name: &str| {
        list.into_iter().find(|(known, _)| known == name).expect("there").1
    };
    let hydroxide = of(bath.species().expect("species"), "hydroxide");
    let nickel = of(bath.totals().expect("totals"), "nickel");
    let sites = |hydroxide: f64, nickel: f64| 1.0 + 1.24e6 * hydroxide + 1.25 * nickel;
    let expected = (sites(hydroxide, nickel) / sites(3.3e-8, 0.1)).powi(-2);
    assert_relative("rate", um_h(&law) / um_h(&plain), expected, 1e-9);
    assert!(expected < 0.9, "hydroxide takes sites: {expected}");
    let free = extended(&[], &[&table.replace("total", "free")]);
    assert!(um_h(&free) > um_h(&extended(&[], &[table])), "less free nickel takes fewer sites");
    let odd = extended(&[], &[&format!("{table}\npower = 0.5")]);
    assert!(refused(&odd).contains("a power between 1 and 10"), "{}", refused(&odd));
}

/// Producer: arrhenius_ratios.csv, two decimals.
#[test]
fn activation_energies_give_the_ratios_of_the_reference() {
    for row in Csv::reference("arrhenius_ratios.csv").rows() {
        let energy = row.number("activation_energy_kj_mol");
        for (column, low, high) in [("ratio_80_90_c", 353.15, 363.15), ("ratio_85_88_c", 358.15, 361.15)] {
            let law = Arrhenius { activation_energy_kj_mol: energy, reference_temperature_k: low };
            let ratio: f64 = law.ln_factor(high);
            assert_within(format!("{energy} kJ/mol, {column}"), ratio.exp(), row.number(column), 0.006);
        }
    }
}

/// Twice as fast from 80 to 90 degC: R ln 2 / (1/353.15 K - 1/363.15 K) = 73.9 kJ/mol, through the
/// recipe. The deposit's composition depends on no temperature there.
#[test]
fn the_shop_rule_is_74_kj_mol_near_85_degc() {
    let at = |celsius: f64| {
        um_h(&set(
            &power_law(),
            &[("deposition.activation_energy_kj_mol", 73.9), ("operation.temperature_c", celsius)],
        ))
    };
    assert_within("90 over 80 degC", at(90.0) / at(80.0), 2.0, 0.003);
    let between = 8.314_462_618 * 2f64.ln() / (1.0 / 353.15 - 1.0 / 363.15) / 1e3;
    assert_within("its energy", between, 73.9, 0.05);
}

/// Any component of the bath may inhibit: exp(-c/K) for each, with c from the bath's own totals.
#[test]
fn every_by_product_can_inhibit() {
    let below = [("make_up", "phosphorous_acid_g_l = 40\nformic_acid_g_l = 10")];
    let plain = extended(&below, &[]);
    let totals = plain.make_up().and_then(|bath| bath.totals()).expect("totals");
    for (name, form) in
        [("orthophosphite", "hyperbolic"), ("sulfate", "exponential"), ("formate", "exponential")]
    {
        let c = totals.iter().find(|(known, _)| known == name).expect("a component").1;
        assert!(c > 0.05, "{name} is there");
        let table = format!("[deposition.inhibition.{name}]\nform = \"{form}\"\nconstant_mol_l = 2.5");
        let (slowed, free) = if name == "orthophosphite" {
            // It is in the recipe already, as an exponential with 4 mol/L.
            let changed = set(&plain, &[("deposition.inhibition.orthophosphite.constant_mol_l", 2.5)]);
            (um_h(&changed), um_h(&plain) * (c / 4.0).exp())
        } else {
            (um_h(&extended(&below, &[&table])), um_h(&plain))
        };
        assert_relative(name, slowed / free, (-c / 2.5).exp(), 1e-9);
    }
}

/// A law in the ionic strength, the reference that of the fresh bath: fresh as before, slower with
/// 1 mol/L of a salt that is none of the recipe's by-products.
#[test]
fn salt_of_any_kind_slows() {
    let strength = power_law().make_up().expect("a bath").ionic_strength_mol_l();
    let table = format!(
        "[deposition.ionic_strength]\nform = \"exponential\"\nconstant_mol_l = 5\nreference_mol_l = {strength:?}"
    );
    assert_relative("fresh", um_h(&extended(&[], &[&table])), um_h(&power_law()), 1e-12);
    let salted = [("make_up", "sodium_chloride_g_l = 58.44")];
    let law = extended(&salted, &[&table]);
    let risen = law.make_up().expect("a bath").ionic_strength_mol_l() - strength;
    assert_within("strength of the salt", risen, 1.0, 0.1);
    assert_relative("salted", um_h(&law) / um_h(&extended(&salted, &[])), (-risen / 5.0).exp(), 1e-9);
}

/// Succinate at its reference leaves the rate, without it the gain is missing: 1 + 0.3 x 0.5.
#[test]
fn an_accelerator_reads_in_either_unit() {
    let succinate = [("make_up", "succinic_acid_mol_l = 0.02")];
    let with = |table: &str| um_h(&extended(&succinate, &[table]));
    let plain = with("");
    let law = "[deposition.accelerator.succinate]\ngain = 0.3\n";
    assert_relative(
        "at its reference",
        with(&format!("{law}constant_mol_l = 0.02\nreference_mol_l = 0.02")),
        plain,
        1e-12,
    );
    assert_relative("from nothing", with(&format!("{law}constant_mol_l = 0.02")), 1.15 * plain, 1e-12);
    // C4H4O4-2 is 116.07 g/mol.
    let as_ion = format!("{law}constant_mg_l_as_c4h4o4 = 2321.4");
    assert_relative("in mg/L", with(&as_ion), 1.15 * plain, 1e-4);
    assert_relative("in mM", with(&format!("{law}constant_mM = 20")), 1.15 * plain, 1e-12);
    let as_what = extended(&succinate, &[&format!("{law}constant_mg_l = 2321.4")]);
    assert!(
        refused(&as_what).contains("milligrams of succinate as what? 2321 mg/L is 0.02 mol/L as"),
        "{}",
        refused(&as_what)
    );
    let both = extended(&succinate, &[&format!("{law}constant_mM = 20\nconstant_mol_l = 0.02")]);
    assert!(refused(&both).contains("one of the two, mol/L or mg/L"), "{}", refused(&both));
    let neither = extended(&succinate, &[law]);
    assert!(
        refused(&neither).contains("deposition.accelerator.succinate.constant_mol_l"),
        "{}",
        refused(&neither)
    );
    let unknown = extended(&[], &[&law.replace("succinate", "sucinate")]);
    assert!(
        refused(&unknown).contains("no dissolved substance of this bath is called 'sucinate'"),
        "{}",
        refused(&unknown)
    );
}
