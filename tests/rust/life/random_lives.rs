//! Whatever tables are written into a recipe, a whole life keeps its signs and sizes, or says what to change.
//!
//! Beside moved numbers: levels, losses, events, further solutions, racks, films, stabilizers, policies.
//! `BATHKIN_RANDOM_LIVES=5000` goes through more of them than every day.

use bathkin::recipe::Recipe;
use bathkin::{Error, Life};
use proptest::prelude::*;

use support::recipes::fixed_cases;
use support::stabilized::{CONSUMED, HUMP, PLATE_OUT};

const EVERY_DAY: u32 = 48;

fn cases() -> u32 {
    std::env::var("BATHKIN_RANDOM_LIVES").ok().and_then(|text| text.parse().ok()).unwrap_or(EVERY_DAY)
}

/// A share of a piece, or nothing.
fn perhaps(piece: impl Strategy<Value = String>) -> impl Strategy<Value = String> {
    prop::option::of(piece).prop_map(Option::unwrap_or_default)
}

/// A number spread evenly over decades.
fn decades(low: f64, high: f64) -> impl Strategy<Value = f64> {
    (low.log10()..high.log10()).prop_map(|power| 10_f64.powf(power))
}

/// `[tank]` of `volume_l`: level, water, losses.
fn tank(volume_l: f64) -> impl Strategy<Value = String> {
    let level = prop_oneof![
        Just("level = \"held\"\n".to_owned()),
        (1.0..1.3_f64, prop::bool::ANY).prop_map(move |(brim, float)| {
            let water = if float { "float" } else { "by-hand" };
            format!("level = \"free\"\nbrim_l = {}\nwater = \"{water}\"\n", brim * volume_l)
        }),
    ];
    let losses = [
        ("evaporation_l_h", 1e-5 * volume_l, 2e-2 * volume_l),
        ("bleed_l_h", 1e-5 * volume_l, 1e-2 * volume_l),
        ("bleed_per_turnover", 1e-2, 0.5),
        ("drag_out_l_m2", 1e-2, 0.5),
        ("drag_in_l_m2", 1e-2, 0.5),
        ("water_interval_h", 1.0, 48.0),
    ]
    .map(|(key, low, high)| perhaps(decades(low, high).prop_map(move |value| format!("{key} = {value}\n"))));
    (level, losses).prop_map(|(level, losses)| format!("[tank]\n{level}{}", losses.concat()))
}

/// When an event or a dose comes.
fn when() -> impl Strategy<Value = String> {
    prop_oneof![
        (0.0..200.0_f64).prop_map(|h| format!("at_h = {h}\n")),
        Just("at_h = 0\n".to_owned()),
        decades(2.0, 200.0).prop_map(|h| format!("every_h = {h}\n")),
        decades(0.05, 3.0).prop_map(|n| format!("every_turnovers = {n}\n")),
        decades(0.05, 3.0).prop_map(|n| format!("at_turnovers = {n}\n")),
    ]
}

/// `[event.NAME]` of a bath with this by-product.
fn event(name: &'static str, by_product: String, salt: String) -> impl Strategy<Value = String> {
    let what = prop_oneof![
        (0.0..100.0_f64, prop::bool::ANY).prop_map(|(pct, water)| {
            let fill = if water { "water" } else { "make-up" };
            format!("dump_pct = {pct}\nfill_with = \"{fill}\"\n")
        }),
        (0.0..100.0_f64).prop_map(move |pct| format!("removed_pct.{by_product} = {pct}\n")),
        (decades(0.1, 50.0), decades(1.0, 500.0))
            .prop_map(move |(ml_l, g_l)| format!("dose_ml_l = {ml_l}\nsolution = {{ {salt} = {g_l} }}\n")),
    ];
    (when(), what).prop_map(move |(when, what)| format!("[event.{name}]\n{when}{what}"))
}

/// `[replenisher.further]` of a salt of the make-up, for the component it brings.
fn further(salt: String, component: String) -> impl Strategy<Value = String> {
    let occasion = prop_oneof![
        Just(format!("holds = \"{component}\"\n")),
        decades(1e-2, 2.0).prop_map(|ratio| format!("with_metal_ml_per_ml = {ratio}\n")),
        (decades(1.0, 100.0), decades(0.01, 20.0))
            .prop_map(|(h, ml)| format!("every_h = {h}\ndose_ml_l = {ml}\n")),
        (decades(0.02, 2.0), decades(0.01, 20.0))
            .prop_map(|(n, ml)| format!("every_turnovers = {n}\ndose_ml_l = {ml}\n")),
        (decades(0.1, 20.0), decades(0.01, 20.0))
            .prop_map(|(m2, ml)| format!("every_m2 = {m2}\ndose_ml_l = {ml}\n")),
    ];
    (occasion, decades(5.0, 600.0))
        .prop_map(move |(occasion, g_l)| format!("[replenisher.further]\n{salt} = {g_l}\n{occasion}"))
}

/// `[load.NAME]` of a tank of `volume_l`.
fn rack(name: &'static str, volume_l: f64) -> impl Strategy<Value = String> {
    (0.0..48.0_f64, decades(5.0, 600.0), decades(0.02, 3.0), decades(4.0, 100.0)).prop_map(
        move |(in_h, minutes, dm2_l, every_h)| {
            format!(
                "[load.{name}]\nin_h = {in_h}\nminutes = {minutes}\narea_dm2 = {}\nevery_h = {every_h}\ncount = 60\n",
                dm2_l * volume_l
            )
        },
    )
}

fn policies() -> impl Strategy<Value = String> {
    let metal = prop_oneof![
        Just("policy = \"threshold\"\n".to_owned()),
        (30.0..99.0_f64).prop_map(|pct| format!("policy = \"threshold\"\nmetal_trigger_pct = {pct}\n")),
        Just("policy = \"continuous\"\n".to_owned()),
        (decades(0.5, 48.0), 0.0..4.0_f64, 0.0..10.0_f64).prop_map(|(every, delay, error)| format!(
            "policy = \"analysis\"\nanalysis_interval_h = {every}\nanalysis_delay_h = {delay}\nanalysis_error_pct = \
             {error}\n"
        )),
    ];
    let reductant = prop_oneof![
        Just("reductant = \"restore\"\n".to_owned()),
        decades(0.5, 10.0).prop_map(|n| format!("reductant = \"ratio\"\nreductant_per_metal_mol = {n}\n")),
    ];
    let hours = prop::sample::select(vec!["any", "worked"]);
    let ph = prop_oneof![
        decades(0.01, 1.0).prop_map(|width| format!("policy = \"dead-band\"\ndead_band_ph = {width}\n")),
        Just("policy = \"continuous\"\n".to_owned()),
        decades(0.5, 48.0).prop_map(|h| format!("policy = \"interval\"\ninterval_h = {h}\n")),
        Just("policy = \"off\"\n".to_owned()),
    ];
    (metal, reductant, hours, ph).prop_map(|(metal, reductant, hours, ph)| {
        format!("[replenishment]\n{metal}{reductant}hours = \"{hours}\"\n[ph_control]\n{ph}")
    })
}

/// Thiourea at make-up and with the metal, consumed, its hump and plate-out, in nickel from hypophosphite.
fn stabilizer() -> impl Strategy<Value = String> {
    (decades(0.05, 20.0), decades(0.5, 300.0)).prop_map(|(make_up, fed)| {
        format!(
            "[make_up]\nthiourea_mg_l = {make_up}\n[replenisher.metal]\nthiourea_mg_l = {fed}\n[deposit]\nalloy_element \
             = \"P\"\n{CONSUMED}{HUMP}{PLATE_OUT}"
        )
    })
}

/// What of a built-in recipe the tables need to know.
#[derive(Debug, Clone)]
struct Base {
    name: &'static str,
    volume_l: f64,
    by_product: String,
    salt: String,
    component: String,
    numbers: Vec<(String, f64)>,
    takes_thiourea: bool,
}

fn base(name: &'static str) -> Base {
    use bathkin::document::Value;
    let recipe = Recipe::built_in(name).expect("built in");
    let model = recipe.model().expect("a model");
    let names = model.tank.bath.equilibrium.component_names();
    let (salt, _) = model.make_up_g_l.first().expect("a salt").clone();
    let number = |value: &Value| if let Value::Number(number) = value { Some(*number) } else { None };
    let entries = recipe.document().entries().iter();
    Base {
        name,
        volume_l: model.tank.plant.volume_l,
        by_product: names[model.tank.bath.roles.by_product].clone(),
        salt: format!("{salt}_g_l"),
        component: names[model.tank.bath.roles.metal].clone(),
        numbers: entries
            .filter(|entry| !entry.path.starts_with("cost") && !entry.path.starts_with("half_reaction"))
            .filter_map(|entry| number(&entry.value).map(|number| (entry.path.clone(), number)))
            .collect(),
        takes_thiourea: ["nickel-acid", "nickel-textbook", "nickel-alkaline"].contains(&name),
    }
}

/// A recipe as text on a built-in one, and numbers of it moved by up to a hundred either way.
fn recipe() -> impl Strategy<Value = (String, Vec<(String, f64)>)> {
    prop::sample::select(Recipe::built_in_names().collect::<Vec<_>>()).prop_flat_map(|name| {
        let of = base(name);
        let racks = prop_oneof![
            Just(String::new()),
            rack("one", of.volume_l),
            (rack("one", of.volume_l), rack("two", of.volume_l)).prop_map(|(a, b)| a + &b),
        ];
        let events = (
            perhaps(event("first", of.by_product.clone(), of.salt.clone())),
            perhaps(event("second", of.by_product.clone(), of.salt.clone())),
        );
        let film = perhaps(decades(10.0, 500.0).prop_map(|um| format!("[film]\nthickness_um = {um}\n")));
        let film =
            film.prop_map(move |text| if name == "copper-tartrate-quiet" { String::new() } else { text });
        let stabilizer =
            perhaps(stabilizer()).prop_map(move |text| if of.takes_thiourea { text } else { String::new() });
        let further = perhaps(further(of.salt.clone(), of.component.clone()));
        let idle = perhaps(
            (20.0..60.0_f64).prop_map(|celsius| format!("[operation]\nidle_temperature_c = {celsius}\n")),
        );
        let moves = (any::<prop::sample::Index>(), -2.0..2.0_f64);
        let numbers = of.numbers.clone();
        let moved = prop::collection::vec(moves, 0..4).prop_map(move |moves| {
            let moved = |(index, power): (prop::sample::Index, f64)| {
                let (path, value) = index.get(&numbers).clone();
                (path, value * 10_f64.powf(power))
            };
            moves.into_iter().map(moved).collect::<Vec<_>>()
        });
        let head = format!("base = \"{}\"\n[life]\nlongest_clock_h = 400\n", of.name);
        let pieces = (tank(of.volume_l), policies(), racks, events, film, stabilizer, further, idle);
        (pieces, moved).prop_map(
            move |((tank, policies, racks, events, film, stabilizer, further, idle), moved)| {
                let (first, second) = events;
                let parts = [&head, &tank, &policies, &racks, &first, &second, &film, &further, &idle];
                (together(&parts.map(String::as_str), &stabilizer), moved)
            },
        )
    })
}

/// Texts of tables as one document. The tables of a stabilizer stand in no other piece but the solution of the metal.
fn together(parts: &[&str], stabilizer: &str) -> String {
    format!("{}{stabilizer}", parts.concat())
}

/// The first thing about a life that cannot be.
fn wrong(recipe: &Recipe, life: &Life) -> Option<String> {
    let tank = &recipe.model().expect("a model").tank;
    let flags = recipe.life_flags(life).expect("flags");
    let flagged = |place: &str| flags.iter().any(|flag| flag.r#where == place);
    let column = |name: &str| life.table.column(name).unwrap_or_else(|| panic!("no column {name}"));
    for (name, values) in life.table.columns() {
        // What is not plated yet costs without end, and partial currents that cancel nowhere have no potential.
        let from = usize::from(name == "cost_per_um_dm2");
        let none = name == "potential_v_she" && life.surface.no_potential_from_h.is_some();
        if !none && !values[from..].iter().all(|value| value.is_finite()) {
            return Some(format!("{name} is no number: {values:?}"));
        }
        // Contents, volumes and doses; an integrator may pass zero by its tolerance.
        let counts =
            ["_mol_l", "_g_l", "_ml_l", "_l", "_g", "_m2", "_h"].iter().any(|unit| name.ends_with(unit));
        let size = values.iter().fold(1e-3_f64, |most, value| most.max(value.abs()));
        if counts
            && !["water_l", "deposition_um_h", "deposition_now_um_h"].contains(&name.as_str())
            && (name != "hydrogen_l" || life.surface.hydrogen_taken_up_from_h.is_none())
            && values.iter().any(|value| *value < -1e-6 * size)
        {
            return Some(format!("{name} is below zero: {values:?}"));
        }
    }
    let free = tank.plant.level != bathkin::tank::Level::Held;
    let sums = ["drag_out_l", "bled_l", "overflow_l", "evaporated_l", "solutions_l", "area_m2", "clock_h"];
    let only_grow = sums
        .into_iter()
        .chain(free.then_some("water_l"))
        .chain(life.surface.hydrogen_taken_up_from_h.is_none().then_some("hydrogen_l"));
    for name in only_grow {
        let values = column(name);
        let size = values.last().map_or(0.0, |last| last.abs());
        if values.windows(2).any(|pair| pair[1] < pair[0] - 1e-9 * size) {
            return Some(format!("{name} falls: {values:?}"));
        }
    }
    let volume = column("volume_l");
    let brim_l = if let bathkin::tank::Level::Free { brim_l, .. } = tank.plant.level {
        brim_l
    } else {
        tank.plant.volume_l
    };
    if let Some(row) = (0..volume.len()).find(|row| volume[*row] > brim_l * (1.0 + 1e-6)) {
        return Some(format!("{} L stand in a tank of {brim_l} L", volume[row]));
    }
    for (row, volume_l) in volume.iter().enumerate() {
        let of = |name: &str| column(name)[row];
        let came = of("solutions_l") + of("water_l");
        let left = of("drag_out_l") + of("bled_l") + of("overflow_l") + of("evaporated_l");
        if (tank.plant.volume_l + came - left - volume_l).abs()
            > 1e-8 * (tank.plant.volume_l + came.abs() + left)
        {
            return Some(format!("row {row}: {came} L came, {left} L left, {volume_l} L are there"));
        }
    }
    let dissolves = life.verdict.limit.ends_with("dissolves");
    for name in ["deposition_um_h", "deposition_now_um_h"] {
        let values = column(name);
        let least = values.iter().copied().fold(f64::INFINITY, f64::min);
        if least < -1e-3 && !dissolves && !flagged("deposition_um_h") && !flagged("half_reaction") {
            return Some(format!("{name} is {least} without a word"));
        }
        if values.iter().any(|rate| *rate > 100.0) && !flagged("deposition_um_h") {
            return Some(format!("{name} is beyond belief without a word: {values:?}"));
        }
    }
    if column("ph").iter().any(|ph| !(-3.0..17.0).contains(ph)) {
        return Some(format!("pH {:?}", column("ph")));
    }
    if let Some(rack) = life.loads.iter().find(|rack| rack.thickness_um < -1e-6 || rack.out_h < rack.in_h) {
        return Some(format!("{rack:?}"));
    }
    if let Some(dose) = life.ledger.additions.iter().find(|dose| dose.volume_ml <= 0.0) {
        return Some(format!("{dose:?}"));
    }
    let balance = &life.balance;
    (balance.max_relative_residual > balance.allowed).then(|| format!("{balance:?}"))
}

/// What a user can do something about; policies that trigger each other without end are told with what to change.
fn is_of_use(error: &Error) -> bool {
    let text = error.to_string();
    (error.is_input() || text.contains("no progress: ")) && text.len() > 10
}

proptest! {
    #![proptest_config(fixed_cases(cases()))]

    #[test]
    fn a_whole_life_keeps_its_signs_and_sizes((text, moved) in recipe()) {
        let document = Recipe::from_toml("random", &text);
        prop_assert!(document.is_ok(), "{:?}\n{text}", document.err());
        let numbers: Vec<(&str, f64)> = moved.iter().map(|(path, value)| (path.as_str(), *value)).collect();
        let recipe = support::recipes::set(&document.expect("a document"), &numbers);
        match recipe.simulate_life() {
            Ok(life) => {
                let wrong = wrong(&recipe, &life);
                prop_assert!(wrong.is_none(), "{}\n{moved:?}\n{text}", wrong.unwrap_or_default());
            }
            Err(error) => prop_assert!(is_of_use(&error), "{error}\n{moved:?}\n{text}"),
        }
    }
}
