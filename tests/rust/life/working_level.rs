//! Limits are judged at the working level and temperature; a bleed's answer and a life with it agree.

use bathkin::Recipe;

use support::recipes::{last, live, nickel_acid, say, set, without_limits};
use support::{assert_relative, shared};

/// 600 L from which 26 L evaporate in a day, one rack, then nothing until the morning after.
fn shop(filled_up: bool) -> Recipe {
    let bath = say(&without_limits(&nickel_acid()), &[("tank.level", "free"), ("tank.water", "by-hand")]);
    let bath = set(
        &bath,
        &[
            ("tank.volume_l", 600.0),
            ("tank.brim_l", 640.0),
            ("tank.evaporation_l_h", 1.1),
            ("load.rack.area_dm2", 50.0),
            ("load.rack.in_h", 1.0),
            ("load.rack.minutes", 30.0),
            ("operation.idle_temperature_c", 80.0),
            ("operation.heat_up_h", 1.0),
            ("operation.cool_down_h", 1.0),
            ("limits.clock_h", 23.9),
        ],
    );
    if filled_up { set(&bath, &[("tank.water_interval_h", 24.0)]) } else { bath }
}

/// Producer: dilution by hand. What evaporation gathers in a night is no reason to dump a bath that is filled up in
/// the morning; where nobody fills it up the bath is what it is, and the flag says so. Every limit that thickens.
#[test]
fn a_night_takes_no_bath_over_its_limits() {
    let after = live(&shop(true));
    assert!(last(&after, "volume_l") < 590.0, "{} L", last(&after, "volume_l"));
    let share = last(&after, "volume_l") / 600.0;
    for (path, column) in [
        ("limits.sodium_mol_l_max", "sodium_mol_l"),
        ("limits.ionic_strength_mol_l", "ionic_strength_mol_l"),
        ("limits.specific_gravity", "specific_gravity"),
        ("limits.orthophosphite_mol_l", "orthophosphite_mol_l"),
    ] {
        let low = last(&after, column);
        // A third of the way down from what stands there in the evening to what it is when filled up.
        let filled = if column == "specific_gravity" { 1.0 + (low - 1.0) * share } else { low * share };
        let bound = low - (low - filled) / 3.0;
        let held = live(&set(&shop(true), &[(path, bound)]));
        assert_eq!(held.verdict.limit, "clock_h", "{path} = {bound}");
        let standing = held.limits.iter().find(|limit| limit.path == path).expect("a standing");
        assert!(standing.margin > 0.0 && standing.value < bound, "{standing:?}");
        let recipe = set(&shop(false), &[(path, bound)]);
        let life = live(&recipe);
        assert_eq!(life.verdict.limit, standing.name, "{path}");
        let flags = recipe.life_flags(&life).expect("flags");
        let said = flags.iter().find(|flag| flag.r#where == "tank.level").map(|flag| flag.what.as_str());
        assert!(said.is_some_and(|what| what.contains("judged as it stands")), "{flags:?}");
        // The outlook has the same.
        let outlook = recipe.outlook(&life.verdict, &life.table, &life.margins(), None).expect("an outlook");
        let mine = outlook.iter().find(|limit| limit.path == path).expect("one");
        assert!(mine.reached.is_some() && !mine.past_first_limit);
        if column.ends_with("mol_l") && !column.starts_with("ionic") {
            let outlook = set(&shop(true), &[(path, bound)])
                .outlook(&held.verdict, &held.table, &held.margins(), None)
                .expect("an outlook");
            assert!(outlook.iter().any(|limit| limit.path == path && limit.reached.is_none()));
        }
    }
}

/// Producer: the same bath, filled up: rate and alloy at the set-points do not see the night.
#[test]
fn the_rate_at_the_set_points_is_that_of_the_filled_bath() {
    let low = live(&shop(true));
    let full = live(&set(&shop(true), &[("tank.evaporation_l_h", 0.0)]));
    for column in ["deposition_um_h", "phosphorus_wt_pct"] {
        assert_relative(column, last(&low, column), last(&full, column), 1e-5);
    }
}

/// Producer: the life itself. What `bleed_for_limit` says holds for ever holds in the life of that bleed, over twice
/// the turnovers it takes to settle, and a bleed 3 % less does not: in a shop with nights, racks, events and water by
/// hand, whose level rises and falls.
#[test]
fn a_bleed_that_holds_for_ever_holds_in_its_life() {
    let path = shared().join("scenarios/job-shop.toml");
    let shop = Recipe::load(path.to_str().expect("a path")).expect("the scenario");
    let found = shop.bleed_for_limit("orthophosphite_mol_l").expect("a bleed");
    let run = |bleed: f64| {
        let bled = say(&shop, &[("limits.turnovers", "off")]);
        let bled = set(
            &bled,
            &[
                ("tank.bleed_per_turnover", bleed),
                ("limits.turnovers", 120.0),
                ("life.longest_clock_h", 1e6),
                ("limits.deposition_pct_of_fresh", 0.0),
                ("limits.phosphorus_wt_pct_max", 100.0),
            ],
        );
        live(&bled).verdict
    };
    let held = run(found.bleed_per_turnover);
    assert_eq!(held.limit, "turnovers", "{} at {:.1} turnovers", found.bleed_per_turnover, held.turnovers);
    assert_eq!(run(0.97 * found.bleed_per_turnover).limit, "orthophosphite_mol_l");
}
