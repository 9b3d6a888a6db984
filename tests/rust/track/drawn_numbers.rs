//! Numbers of the recipe that members draw within their widths, as far as the log has not told them.

use bathkin::Recipe;
use bathkin_fit::track::{DrawnNumber, Track, TrackOptions, WorkAhead, track};
use support::shop::{Truth, first_rows, shop};

/// The recipe of the shops, with ranges (invented) of numbers that a log tells and of one that it does not.
fn recipe() -> Recipe {
    let text = r#"
format = 1
base = "nickel-acid"

[tank]
drag_out_l_m2 = 0.05

[work]
hours_per_day = 8

[deposition]
rate_mol_m2_s = { value = 0.000522, range = [0.0003, 0.0009], kind = "invented", source = "test" }

[hydrogen]
per_metal_mol = { value = 1.58, range = [1.2, 2.0], kind = "invented", source = "test" }

[deposition.adsorption.adsorbate.orthophosphite]
constant_l_mol = { value = 0.0703, range = [0.04, 0.12], kind = "invented", source = "test" }

[phosphorus.order]
nickel = { value = -0.075, range = [-0.35, 0.2], kind = "invented", source = "test" }

[limits]
phosphorus_wt_pct_max = 10
"#;
    Recipe::from_toml("invented-shop.toml", text).expect("a recipe")
}

fn followed(options: TrackOptions) -> Result<Track, String> {
    let of = shop(Truth::default(), 0.02, 5);
    let options = TrackOptions { held_numbers: false, work: WorkAhead::AsPlanned, ..options };
    let found = track(&recipe(), &first_rows(&of.log, 20), &options, &|_| true);
    found.map(|found| found.track).map_err(|error| error.to_string())
}

fn of<'a>(track: &'a Track, path: &str) -> Option<&'a DrawnNumber> {
    track.drawn_numbers.iter().find(|one| one.path == path)
}

const TOLD: [&str; 3] = [
    "deposition.rate_mol_m2_s",
    "hydrogen.per_metal_mol",
    "deposition.adsorption.adsorbate.orthophosphite.constant_l_mol",
];
const UNTOLD: &str = "phosphorus.order.nickel";

/// What the log tells is not drawn a second time: rate, by-product per metal, loss of rate. How the phosphorus goes on, of which
/// it has no reading, is drawn, and moves the day at which the alloy leaves its specification.
#[test]
fn what_the_log_has_told_is_not_drawn_again() {
    let found = followed(TrackOptions { members: 60, ..TrackOptions::default() }).expect("followed");
    let left_h = found.dump.left_h.p50.expect("a date");
    for path in TOLD {
        let one = of(&found, path).unwrap_or_else(|| panic!("{path}"));
        assert!(!one.drawn && one.moved.expect("a date").abs() < 0.005 * left_h, "{one:?}, {left_h} h left");
    }
    let untold = of(&found, UNTOLD).expect("it has a range");
    // Range of two standard deviations either way.
    assert!((untold.one_sd_more - (-0.075 + 0.55 / 4.0)).abs() < 1e-12, "{untold:?}");
    assert!(untold.drawn && untold.moved.is_none_or(|hours| hours.abs() > 0.05 * left_h), "{untold:?}");
    assert!(
        found.drawn.iter().any(|one| one.contains("as far as the log has not told")),
        "{:?}",
        found.drawn
    );
    assert_eq!(found.failed, 0, "{:?}", found.first_failure);
    let held = followed(TrackOptions {
        members: 60,
        hold: vec!["phosphorus".to_owned()],
        ..TrackOptions::default()
    })
    .expect("followed");
    assert!(of(&held, UNTOLD).is_none());
    let width = |of: &Track| of.dump.left_h.p90.unwrap_or(1e4) - of.dump.left_h.p10.expect("a date");
    assert!(width(&found) > 1.1 * width(&held), "{} {}", width(&found), width(&held));
}

#[test]
fn a_number_to_hold_or_to_draw_is_one_that_has_a_width() {
    let paths = |path: &str| vec![path.to_owned()];
    let one = TrackOptions { members: 1, ..TrackOptions::default() };
    let refused = |options: TrackOptions| followed(options).expect_err("it is none");
    let unknown = refused(TrackOptions { hold: paths("deposition.rate"), ..one.clone() });
    assert!(unknown.contains("deposition.rate_mol_m2_s"), "{unknown}");
    let bare = refused(TrackOptions { draw: paths("phosphorus.order.hypophosphite"), ..one.clone() });
    assert!(
        bare.contains("phosphorus.order.hypophosphite") && bare.contains("range = [low, high]"),
        "{bare}"
    );
    let set = refused(TrackOptions { draw: paths("operation.ph"), ..one.clone() });
    assert!(set.contains("what the shop sets it knows"), "{set}");
    // A number that moves nothing is drawn where that is asked for.
    let path = "deposition.activation_energy_kj_mol";
    let asked = followed(TrackOptions { draw: paths(path), ..one }).expect("followed");
    assert!(of(&asked, path).is_some_and(|one| one.drawn), "{:?}", of(&asked, path));
}
