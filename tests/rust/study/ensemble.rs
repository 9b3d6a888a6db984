//! Ensembles: members by their numbers, whatever computes them; checkpoints; failures; refusals.

use bathkin::study::ensemble::record::record;
use bathkin::study::ensemble::run::chunks;
use bathkin::study::ensemble::{CHUNK, Chunk, Collected, Design, EnsemblePlan};
use bathkin::{Error, Recipe, Stop, Value};
use bathkin_statistics::distribution::Distribution;
use bathkin_statistics::sobol::Sobol;
use rayon::ThreadPoolBuilder;
use support::{assert_relative, assert_within};

const PH: &str = "operation.ph";
const RATE: &str = "deposition.rate_mol_m2_s";

fn recipe() -> Recipe {
    Recipe::built_in("nickel-acid").expect("built in")
}

/// Its life ends after half a turnover.
fn short() -> Recipe {
    recipe().with("limits.turnovers", Value::Number(0.5), "test")
}

fn names(names: &[&str]) -> Vec<String> {
    names.iter().map(|name| (*name).to_owned()).collect()
}

fn plan(recipe: &Recipe, paths: &[&str], design: Design, outputs: &[&str]) -> EnsemblePlan {
    EnsemblePlan::new(recipe, &names(paths), design, &names(outputs), 3).expect("a plan")
}

fn refusal(recipe: &Recipe, paths: &[&str], design: Design, outputs: &[&str]) -> Error {
    EnsemblePlan::new(recipe, &names(paths), design, &names(outputs), 3).expect_err("refused")
}

fn normal(mean: f64, sd: f64) -> Distribution {
    Distribution::Normal(mean, sd)
}

fn lives(count: u64) -> EnsemblePlan {
    let of = vec![normal(4.8, 0.05), Distribution::Uniform(0.9e-3, 1.1e-3)];
    let design = Design::Random { of, count, seed: 3 };
    plan(&short(), &[PH, RATE], design, &["dump.plating_h", "end.orthophosphite_mol_l", "dump.limit"])
}

fn whole(plan: &EnsemblePlan) -> Collected {
    let mut found = Collected::new(plan, 0..plan.design.count(), true);
    plan.in_this_thread(0..plan.design.count(), |chunk| found.take(plan, chunk)).expect("not stopped");
    found
}

#[test]
fn threads_parts_and_their_order_change_no_bit() {
    let plan = lives(40);
    let expected = whole(&plan);
    assert_eq!(expected.done(), 40);
    for threads in [1, 2, 4] {
        let pool = ThreadPoolBuilder::new().num_threads(threads).build().expect("threads");
        let mut found = Collected::new(&plan, 0..40, true);
        let parts = found.missing();
        let take = |chunk: Chunk| -> Result<(), Error> {
            found.take(&plan, chunk);
            Ok(())
        };
        pool.install(|| plan.run(&parts, take)).expect("not stopped");
        assert_eq!(found.bytes(), expected.bytes(), "{threads} threads");
    }
    let mut parts: Vec<Chunk> = Vec::new();
    for part in [24..40, 0..8, 8..24] {
        plan.in_this_thread(part, |chunk| parts.push(chunk)).expect("not stopped");
    }
    let columns =
        |of: &[Chunk]| -> Vec<f64> { of.iter().flat_map(|chunk| chunk.columns[0].clone()).collect() };
    parts.sort_by_key(|chunk| chunk.from);
    assert_eq!(columns(&parts), expected.columns().expect("kept")[0]);
}

#[test]
fn a_member_is_the_recipe_with_its_values() {
    let plan = lives(3);
    let found = whole(&plan);
    for member in 0..3 {
        let values = plan.design.values(member);
        let changed = plan
            .points
            .paths
            .iter()
            .zip(values)
            .fold(short(), |recipe, (path, value)| recipe.with(path, Value::Number(value), "test"));
        let life = changed.simulate_life().expect("a life");
        let columns = found.columns().expect("kept");
        assert_eq!(columns[0][member as usize], life.verdict.plating_h);
        let by_product = life.table.column("orthophosphite_mol_l").expect("a column");
        assert_eq!(Some(&columns[1][member as usize]), by_product.last());
    }
    assert_eq!(found.limits().collect::<Vec<(&str, u64)>>(), [("turnovers", 3)]);
}

/// ln of the rate is linear in ln of its constant, so quantiles of one are those of the other: closed form.
#[test]
fn quantiles_of_a_linear_case_are_those_of_the_closed_form() {
    let (count, sd) = (4096, 0.1);
    let model = recipe();
    let rate = match model.document().get(RATE).expect("it has one").value {
        Value::Number(number) => number,
        _ => panic!("no number"),
    };
    let of = vec![Distribution::Lognormal(rate, sd)];
    let points = Sobol::scrambled(1, 3).expect("there are directions");
    let design = Design::Sobol { of, count, points };
    let plan = plan(&model, &[RATE], design, &["make_up.deposition_um_h"]);
    let pool = ThreadPoolBuilder::new().num_threads(2).build().expect("threads");
    for keep in [true, false] {
        let mut found = Collected::new(&plan, 0..count, keep);
        let parts = found.missing();
        let take = |chunk: Chunk| -> Result<(), Error> {
            found.take(&plan, chunk);
            Ok(())
        };
        pool.install(|| plan.run(&parts, take)).expect("not stopped");
        let one = &found.statistics(&plan)[0];
        let middle = one.at_recipe.expect("it plates");
        let quantiles = found.quantiles(0, &[0.025, 0.5, 0.975]);
        // 1.959964 standard deviations; 4,096 points hit a part to 1/4096, which is 0.004 of them there.
        for (value, by) in quantiles.into_iter().zip([-1.959_964, 0.0, 1.959_964]) {
            assert_relative("quantile", value.expect("there are members"), middle * f64::exp(sd * by), 5e-4);
        }
        assert_relative("mean", one.mean.expect("members"), middle * (0.5 * sd * sd).exp(), 1e-4);
        let deviation = one.standard_deviation.expect("members") / one.mean.expect("members");
        assert_relative("deviation", deviation, ((sd * sd).exp() - 1.0_f64).sqrt(), 2e-3);
    }
}

#[test]
fn outputs_are_read_where_their_names_say() {
    let life = recipe().simulate_life().expect("a life");
    let outputs =
        ["make_up.ph", "turnover_2.metal_g_l", "turnover_99.ph", "end.ph", "dump.area_m2", "dump.cost"];
    let plan = plan(&recipe(), &[PH], Design::Grid(vec![vec![4.8]]), &outputs);
    let chunk = plan.chunk(0..1).expect("not stopped");
    let value = |place: usize| chunk.columns[place][0];
    let of_table = |name: &str, row: usize| life.table.column(name).expect("a column")[row];
    assert_eq!(value(0), of_table("ph", 0));
    assert_eq!(value(1), of_table("metal_g_l", 2));
    assert!(value(2).is_nan());
    assert_eq!(value(3), of_table("ph", life.table.rows() - 1));
    assert_eq!(value(4), life.verdict.area_m2);
    let cost = recipe().life_cost(&life.verdict, &life.table).expect("a cost").expect("it has prices");
    assert_relative("cost", value(5), cost.cost, 1e-12);
}

/// Nothing is computed past the last turnover that is looked at, and what is read there does not change.
#[test]
fn a_life_is_followed_as_far_as_it_is_looked_at() {
    let of = |outputs: &[&str]| {
        let plan = plan(&recipe(), &[PH], Design::Grid(vec![vec![4.7]]), outputs);
        plan.chunk(0..1).expect("not stopped").columns[0][0]
    };
    assert_eq!(of(&["turnover_1.metal_g_l"]), of(&["turnover_1.metal_g_l", "dump.clock_h"]));
}

#[test]
fn members_that_fail_are_kept_with_their_values_and_the_reason() {
    let columns = vec![vec![4.8, 13.9, 4.6]];
    let plan = plan(&short(), &[PH], Design::Table { first: 0, columns }, &["dump.turnovers", "dump.limit"]);
    let found = whole(&plan);
    let failed = found.failed(&plan);
    assert_eq!((failed.len(), failed[0].member), (1, 1));
    assert_eq!(failed[0].values, [(PH.to_owned(), 13.9)]);
    assert_eq!(found.failures().get(&failed[0].code), Some(&1));
    assert!(failed[0].reason.contains("already exceeded at make-up"), "{}", failed[0].reason);
    assert!(found.columns().expect("kept")[0][1].is_nan());
    let one = &found.statistics(&plan)[0];
    assert_eq!((one.count, one.missing), (2, 0));
}

/// A random value beyond its bounds fails its member alone, and says which.
#[test]
fn a_draw_out_of_bounds_is_a_failed_member() {
    let of = vec![normal(0.01, 1.0)];
    let design = Design::Random { of, count: 8, seed: 3 };
    let plan = plan(&recipe(), &["make_up.lactic_acid_g_l"], design, &["make_up.ph"]);
    let found = whole(&plan);
    let failed = found.failed(&plan);
    assert!(!failed.is_empty() && failed.len() < 8);
    for one in failed {
        let value = one.values[0].1;
        assert!(value < 0.0);
        let told = format!("ensemble: member {}: make_up.lactic_acid_g_l = ", one.member);
        assert!(one.reason.starts_with(&told), "{}", one.reason);
        assert!(one.reason.ends_with("expected zero or more"), "{}", one.reason);
    }
}

#[test]
fn records_read_back_and_half_of_one_is_left() {
    let plan = lives(40);
    let parts: Vec<_> = chunks(0..40).collect();
    assert_eq!(parts, [0..16, 16..32, 32..40]);
    assert_eq!(CHUNK, 16);
    let mut bytes = plan.header().expect("a header");
    let begun = bytes.len();
    let mut ends = vec![begun];
    for part in &parts {
        bytes.extend(record(&plan.chunk(part.clone()).expect("not stopped")));
        ends.push(bytes.len());
    }
    let all = plan.read_records("file", &bytes).expect("its own");
    assert_eq!((all.chunks.len(), all.damaged, all.whole), (3, 0, bytes.len()));
    for cut in [begun, begun + 5, ends[1] - 1, ends[1], ends[2] + 30] {
        let found = plan.read_records("file", &bytes[..cut]).expect("its own");
        let whole = ends.iter().rposition(|end| *end <= cut).expect("the header");
        assert_eq!((found.chunks.len(), found.damaged, found.whole), (whole, 0, ends[whole]));
    }
    // A bit that turned over in the second record.
    let mut damaged = bytes.clone();
    damaged[ends[1] + 40] ^= 4;
    let found = plan.read_records("file", &damaged).expect("its own");
    assert_eq!((found.chunks.len(), found.damaged, found.whole), (2, 1, bytes.len()));
    // The rest is computed again, to the bit.
    let mut resumed = Collected::new(&plan, 0..40, true);
    found.chunks.into_iter().for_each(|chunk| resumed.take(&plan, chunk));
    assert_eq!((resumed.missing().len(), resumed.missing()[0].clone()), (1, 16..32));
    resumed.take(&plan, plan.chunk(16..32).expect("not stopped"));
    assert_eq!(resumed.bytes(), whole(&plan).bytes());
}

#[test]
fn a_checkpoint_of_something_else_is_refused_by_name() {
    let plan = lives(40);
    let bytes = plan.header().expect("a header");
    let differs = |what: &str, other: &EnsemblePlan| {
        let told = other.read_records("runs.ens", &bytes).expect_err("refused").to_string();
        assert!(told.starts_with(&format!("runs.ens: {what} differs: ")), "{told}");
    };
    let of = |count, seed, ph: f64| {
        let of = vec![normal(ph, 0.05), Distribution::Uniform(0.9e-3, 1.1e-3)];
        Design::Random { of, count, seed }
    };
    let outputs = ["dump.plating_h", "end.orthophosphite_mol_l", "dump.limit"];
    let warmer = short().with("operation.temperature_c", Value::Number(89.0), "test");
    differs("the recipe", &self::plan(&warmer, &[PH, RATE], of(40, 3, 4.8), &outputs));
    differs("the draws", &self::plan(&short(), &[PH, RATE], of(40, 3, 4.7), &outputs));
    differs("the outputs", &self::plan(&short(), &[PH, RATE], of(40, 3, 4.8), &outputs[1..]));
    differs("the number of members", &lives(41));
    let paths = names(&[PH, RATE]);
    let seeded = EnsemblePlan::new(&short(), &paths, of(40, 4, 4.8), &names(&outputs), 4).expect("a plan");
    differs("the seed", &seeded);
    let told = |bytes: &[u8]| plan.read_records("x", bytes).expect_err("refused").to_string();
    assert!(told(b"time_h,nickel\n").starts_with("x: this is no checkpoint"));
    assert!(told(&bytes[..20]).starts_with("x: its header is cut off or damaged"));
    let mut newer = bytes.clone();
    newer[17] = 9;
    assert!(told(&newer).starts_with("x: its format is 9: expected 1"));
}

#[test]
fn a_kept_ensemble_reads_back() {
    let plan = lives(20);
    for keep in [true, false] {
        let mut found = Collected::new(&plan, 0..20, keep);
        plan.in_this_thread(0..20, |chunk| found.take(&plan, chunk)).expect("not stopped");
        let again = Collected::of_bytes(&found.bytes()).expect("it reads back");
        assert_eq!(again.statistics(&plan), found.statistics(&plan));
        assert_eq!(again.bytes(), found.bytes());
        assert_eq!(again.columns().is_some(), keep);
    }
    assert!(Collected::of_bytes(b"nothing").is_none());
}

#[test]
fn a_stop_ends_it_and_keeps_what_is_done() {
    let stop = Stop::default();
    let plan = lives(400).heeding(&stop);
    let mut found = Collected::new(&plan, 0..400, true);
    let parts = found.missing();
    let ended = plan.run(&parts, |chunk| -> Result<(), Error> {
        found.take(&plan, chunk);
        stop.ask();
        Ok(())
    });
    assert_eq!(ended, Err(Error::Stopped));
    assert!(found.done() < 400);
    stop.take_back();
    let parts = found.missing();
    let take = |chunk: Chunk| -> Result<(), Error> {
        found.take(&plan, chunk);
        Ok(())
    };
    // Few of the rest are enough to see that they follow.
    plan.run(&parts[..2], take).expect("not stopped");
    assert_eq!(found.done() % CHUNK, 0);
    assert_within("members", found.done() as f64, 40.0, 40.0);
}

#[test]
fn what_cannot_be_asked_is_refused_by_name() {
    let grid = || Design::Grid(vec![vec![4.8]]);
    let told = |paths: &[&str], design: Design, outputs: &[&str]| {
        refusal(&recipe(), paths, design, outputs).to_string()
    };
    let unknown = told(&["operation.pH"], grid(), &["make_up.ph"]);
    assert!(unknown.starts_with("ensemble: no number is called 'operation.pH'"), "{unknown}");
    assert!(unknown.contains("operation.ph"), "{unknown}");
    let output = told(&[PH], grid(), &["ph"]);
    assert!(output.starts_with("ensemble: no output is called 'ph'"), "{output}");
    assert!(output.contains("make_up.ph"), "{output}");
    for name in ["dump.hours", "turnover_0.ph", "make_up.mass_gain_mg", "end"] {
        assert!(matches!(refusal(&recipe(), &[PH], grid(), &[name]), Error::UnknownName { .. }), "{name}");
    }
    let two = || Design::Grid(vec![vec![4.8], vec![4.8]]);
    for (paths, design, outputs, said) in [
        (&[][..], Design::Grid(vec![]), &["make_up.ph"][..], "draws = (none): expected at least one"),
        (&[PH], grid(), &[], "outputs = (none): expected at least one"),
        (&[PH, PH], two(), &["make_up.ph"], "draws = operation.ph: expected each name once"),
        (&[PH], grid(), &["make_up.ph", "make_up.ph"], "outputs = make_up.ph: expected each name once"),
        (&[PH], two(), &["make_up.ph"], "draws = 2 for 1 paths"),
        (&[PH], Design::Grid(vec![vec![4.8, 19.0]]), &["make_up.ph"], "operation.ph = 19: expected a pH"),
        (&[PH], Design::Grid(vec![vec![]]), &["make_up.ph"], "members = 0: expected at least one member"),
    ] {
        let found = told(paths, design, outputs);
        assert!(found.starts_with(&format!("ensemble: {said}")), "{found}");
    }
    let column = vec![vec![4.8, f64::NAN]];
    let nan = told(&[PH], Design::Table { first: 0, columns: column }, &["make_up.ph"]);
    assert!(nan.starts_with("ensemble: member 1: operation.ph = NaN: expected a pH"), "{nan}");
    let uneven = vec![vec![4.8, 4.9], vec![1e-3]];
    let found = told(&[PH, RATE], Design::Table { first: 0, columns: uneven }, &["make_up.ph"]);
    assert!(found.contains("1 values: expected 2 values, as operation.ph has"), "{found}");
    let points = Sobol::scrambled(1, 3).expect("there are directions");
    let sobol = Design::Sobol { of: vec![normal(4.8, 0.1)], count: 1000, points };
    let found = told(&[PH], sobol, &["make_up.ph"]);
    assert!(found.starts_with("ensemble: members = 1000: expected a power of two, such as 1024"), "{found}");
    let wide = Design::Random { of: vec![Distribution::Uniform(4.8, 20.0)], count: 10, seed: 3 };
    let found = told(&[PH], wide, &["make_up.ph"]);
    assert!(found.starts_with("ensemble: operation.ph = 20: expected a distribution of a pH"), "{found}");
    let unpriced = "base = \"nickel-acid\"\nname = \"x\"\n";
    let bare = Recipe::from_toml("x.toml", unpriced).expect("a recipe");
    if bare.model().expect("resolves").tank.operation.cost.is_none() {
        let found = refusal(&bare, &[PH], grid(), &["dump.cost"]).to_string();
        assert!(found.contains("expected a recipe with prices"), "{found}");
    }
}

/// ln of the rate is linear in ln of its constant and in the temperature over so small a range: shares are those of the variances.
#[test]
fn drivers_part_the_spread_of_a_linear_case() {
    let count = 1024;
    let rate = 1e-3;
    let of = vec![Distribution::Lognormal(rate, 0.03), normal(88.0, 0.5), normal(100.0, 1.0)];
    let points = Sobol::scrambled(3, 3).expect("there are directions");
    let design = Design::Sobol { of, count, points };
    let paths = [RATE, "operation.temperature_c", "tank.volume_l"];
    let plan = plan(&recipe(), &paths, design, &["make_up.deposition_um_h"]);
    let mut found = Collected::new(&plan, 0..count, true);
    plan.in_this_thread(0..count, |chunk| found.take(&plan, chunk)).expect("not stopped");
    let at = |kelvin: f64| {
        let warmer = recipe().with("operation.temperature_c", Value::Number(88.0 + kelvin), "test");
        warmer.make_up().and_then(|bath| bath.rate()).expect("it plates").deposition_um_h.ln()
    };
    let by_temperature = (0.5 * (at(0.5) - at(-0.5))).powi(2);
    let all = 0.03_f64.powi(2) + by_temperature;
    let drivers = found.drivers(&plan, 0);
    assert_eq!(drivers.len(), 3);
    let share = |path: &str| drivers.iter().find(|one| one.path == path).expect("there").share;
    // Ranks of a normal pair: (6/π asin(r/2))², within 0.03 of r².
    assert_within("of the rate", share(RATE), 0.03_f64.powi(2) / all, 0.04);
    assert_within("of the temperature", share("operation.temperature_c"), by_temperature / all, 0.04);
    assert_within("of the volume", share("tank.volume_l"), 0.0, 0.01);
    assert!(drivers.windows(2).all(|two| two[0].share >= two[1].share));
}
