//! Calendars of racks: what is read, and what is refused with file, line, column and value.

use std::path::PathBuf;

use bathkin::{Error, Recipe};

use support::recipes::{live, nickel_acid, pumped, say, set, without_limits};

/// A calendar of this text in a folder of its own, gone with the value.
struct Calendar(PathBuf);

impl Calendar {
    fn new(name: &str, text: &str) -> Self {
        let path = std::env::temp_dir().join(format!("bathkin-{}-{name}.csv", std::process::id()));
        std::fs::write(&path, text).expect("written");
        Calendar(path)
    }

    fn recipe(&self) -> Recipe {
        let bath = set(&pumped(&without_limits(&nickel_acid())), &[("life.longest_clock_h", 60.0)]);
        say(&bath, &[("work.calendar", self.0.to_str().expect("a path"))])
    }
}

impl Drop for Calendar {
    fn drop(&mut self) {
        std::fs::remove_file(&self.0).ok();
    }
}

/// The message a calendar is refused with.
#[track_caller]
fn refused(name: &str, text: &str) -> String {
    let calendar = Calendar::new(name, text);
    let error = calendar.recipe().model().map(|_| ()).expect_err("refused");
    assert!(error.is_input());
    error.to_string()
}

/// Producer: the same racks written in hours with points and in dates with decimal commas.
#[test]
fn dates_and_decimal_commas_are_the_same_racks() {
    let hours = "rack,in_h,out_h,area_dm2\nB,26.5,27.25,12.5\nA,0,1,40\nA,0.5,2,20\n";
    let dates = "# remark\nrack;in;out;area_dm2\nB;2026-03-03T08:30;2026-03-03T09:15;12,5\n\
                 A;2026-03-02T06:00;2026-03-02T07:00;40\nA;2026-03-02 06:30:00;2026-03-02T08:00;20,0\n";
    let (hours, dates) = (Calendar::new("hours", hours), Calendar::new("dates", dates));
    let (one, other) = (live(&hours.recipe()), live(&dates.recipe()));
    assert_eq!(one.loads, other.loads);
    let order: Vec<(&str, f64)> = one.loads.iter().map(|rack| (rack.name.as_str(), rack.area_dm2)).collect();
    assert_eq!(order, [("A", 40.0), ("A", 20.0), ("B", 12.5)], "sorted by time, names may come again");
    // The earliest rack is clock zero, wherever it stands.
    let zero = dates.recipe().model().expect("a model").calendar_zero;
    assert_eq!(zero.map(|zero| zero.to_string()).as_deref(), Some("2026-03-02 06:00"));
    assert_eq!(hours.recipe().model().expect("a model").calendar_zero, None);
    // Clock zero said: everything two hours later.
    let later = live(&say(&dates.recipe(), &[("work.calendar_start", "2026-03-02T04:00")]));
    assert_eq!(later.loads[0].in_h, 2.0);
    let early = say(&dates.recipe(), &[("work.calendar_start", "2026-03-02T06:15")]);
    let message = early.model().map(|_| ()).expect_err("refused").to_string();
    assert!(message.contains(":4: in = 0.25 h before the make-up"), "{message}");
}

/// Producer: a week written out twice.
#[test]
fn a_calendar_comes_again() {
    let once = Calendar::new("once", "rack,in_h,minutes,area_dm2\nA,1,60,40\nB,5,30,20\n");
    let twice =
        Calendar::new("twice", "rack,in_h,minutes,area_dm2\nA,1,60,40\nB,5,30,20\nA,25,60,40\nB,29,30,20\n");
    let daily = set(&once.recipe(), &[("work.calendar_repeat_h", 24.0)]);
    let counted = live(&set(&daily, &[("work.calendar_repeats", 2.0)]));
    assert_eq!(counted.loads, live(&twice.recipe()).loads);
    assert_eq!(live(&daily).loads.len(), 6, "for ever, when nobody counts");
    let idle = |recipe: &Recipe| {
        let flags = recipe.life_flags(&live(recipe)).expect("warnings");
        flags.into_iter().find(|flag| flag.r#where == "work.calendar").map(|flag| flag.what)
    };
    let warning = idle(&once.recipe()).expect("a tank that stands idle");
    assert!(warning.contains("the last rack came out at 5.5 h of 60 h"), "{warning}");
    assert_eq!(idle(&daily), None);
    let short = set(&once.recipe(), &[("work.calendar_repeat_h", 4.0)]);
    let message = short.model().map(|_| ()).expect_err("refused").to_string();
    assert!(message.contains(":3: in = 5 h: expected before the calendar begins again, at 4 h"), "{message}");
    let uncounted = set(&once.recipe(), &[("work.calendar_repeats", 2.0)]);
    assert!(uncounted.model().is_err());
}

/// Producer: cases P19, P25 and P27 of cases.json, and the promise of every error: file, line, column, value.
#[test]
fn what_cannot_be_read_is_refused_by_row_and_column() {
    let mass = refused("p27", "rack,in_h,minutes,area_dm2,mass_kg\nbarrel,0,60,,20\n");
    assert!(mass.contains(".csv:2: area_dm2 = (missing)"), "{mass}");
    let expected = support::case("P27");
    assert!(mass.contains(expected["expect"]["error"].as_str().expect("a text")), "{mass}");
    let gain = refused("p25", "rack,in_h,minutes,mass_gain_g\npart,0,60,1\n");
    let expected = support::case("P25");
    assert!(gain.contains(expected["expect"]["error"].as_str().expect("a text")), "{gain}");
    let cubic = refused("p19", "# drums\nrack,in_h,minutes,area_ft3\npart,0,60,1\n");
    assert!(cubic.contains(".csv:2: area_ft3") && cubic.contains("measure a volume"), "{cubic}");
    for (name, row, expected) in [
        ("backwards", "-1,60,10", "in_h = -1"),
        ("unit", "0,60,3 ft3", "area_dm2 = 3 ft3: expected the area of the rack, a number above zero"),
        ("none", "0,60,0", "area_dm2 = 0"),
        ("endless", "0,inf,10", "minutes = inf"),
    ] {
        let message = refused(name, &format!("in_h,minutes,area_dm2\n{row}\n"));
        assert!(message.contains(&format!(".csv:2: {expected}")), "{message}");
    }
    for (name, text, expected) in [
        (
            "zone",
            "in,out,area_dm2\n2026-03-02T06:00Z,2026-03-02T07:00,1\n",
            ":2: out = 2026-03-02T07:00: expected a time zone in every row, or in none",
        ),
        (
            "thousands",
            "in_h;minutes;area_dm2\n0;60;1,234\n",
            ":2: area_dm2 = 1,234: expected 1,2340 or 1234: this comma may part thousands",
        ),
        ("point", "in_h;minutes;area_dm2\n0;60;1.234\n", "this point may part thousands"),
        (
            "two marks",
            "in_h;minutes;area_dm2\n0;60;12,5\n2;60;12.5\n",
            ":3: area_dm2 = 12.5: expected the decimal mark ',' of the rows above",
        ),
        ("twice", "in_h,minutes,area_dm2,Area (dm2)\n0,60,1,2\n", "expected one column area_dm2"),
        ("day", "in,minutes,area_dm2\n3/4/2026 06:00,60,1\n", "whether the day or the month comes first"),
        ("several", "in_h,minits,aera_dm2\n0,60,1\n", "2 columns cannot be read"),
        ("quote", "in_h,minutes,area_dm2\n0,60,\"1\n", "is a quote not closed?"),
        ("mixed", "in_h,out,area_dm2\n0,2026-03-02T06:00,1\n", "hours or dates, not both"),
        ("early", "in_h,out_h,area_dm2\n5,4,1\n", ":2: out_h = 4: expected later than in_h, 5"),
        ("both", "in_h,minutes,area_dm2,area_m2\n0,60,1,1\n", "one area, not two"),
        ("word", "in_h,minutes,aera_dm2\n0,60,1\n", "no column of a calendar is called 'aera_dm2'"),
        ("ragged", "in_h,minutes,area_dm2\n0,60\n", ".csv:2"),
        ("points", "in_h;minutes;area_dm2\n0;60;1.234,5\n", "area_dm2 = 1.234,5"),
        ("empty", "in_h,minutes,area_dm2\n", "there are no rows"),
    ] {
        let message = refused(name, text);
        assert!(message.contains(expected), "{name}: {message}");
    }
}

/// Producer: the same racks with points and dates of ISO 8601; what was decided on the way is a warning of the
/// recipe.
#[test]
fn calendars_are_read_by_the_rules_of_logs_and_say_what_was_assumed() {
    let plain = "rack,in,out,area_dm2,mass_gain_g\nA,2026-03-02T06:15,2026-03-02T07:15,12.5,1.234\n\
                 B,2026-03-13T06:15,2026-03-13T07:15,40,\n";
    let shop = "Rack;In;Out;Area (dm2);mass gain (g);operator\n# Monday\n\
                A;02.03.2026 06:15;02.03.2026 07:15;12,5;1,2340;xy\n\
                B;13.03.2026 06:15;13.03.2026 07:15;40;-;\n";
    let american = plain.replace("2026-03-02T", "3/2/2026 ").replace("2026-03-13T", "3/13/2026 ");
    let (plain, shop) = (Calendar::new("plain", plain), Calendar::new("shop", shop));
    let american = Calendar::new("american", &american);
    let racks =
        |calendar: &Calendar| live(&set(&calendar.recipe(), &[("life.longest_clock_h", 300.0)])).loads;
    assert_eq!(racks(&plain), racks(&shop));
    assert_eq!(racks(&plain), racks(&american));
    assert_eq!(racks(&plain)[0].weighed_g, Some(1.234), "a balance writes 1.234 g");
    let said = |calendar: &Calendar| -> Vec<String> {
        let flags = calendar.recipe().model().expect("a model").flags.clone();
        flags.into_iter().filter(|flag| flag.r#where == "work.calendar").map(|flag| flag.what).collect()
    };
    assert!(said(&plain).is_empty(), "{:?}", said(&plain));
    let told = said(&shop).join("\n");
    for words in ["decimal comma in the whole file", "day.month.year: 2026-03-02 06:15", "a remark"] {
        assert!(told.contains(words), "{told}");
    }
    assert!(said(&american)[0].contains("month/day/year as row 2 tells"), "{:?}", said(&american));
}

/// Producer: the pound and the foot by definition (0.45359237 kg, 9.290304 dm2): 100 lb of 0.5 ft2/lb are 50 ft2.
#[test]
fn area_by_pounds() {
    let calendar = Calendar::new("pounds", "in_h,minutes,mass (lb),area (ft2/lb)\n0,60,100,0.5\n");
    support::assert_relative("dm2", live(&calendar.recipe()).loads[0].area_dm2, 50.0 * 9.290_304, 1e-12);
}

/// Producer: P27 the other way: 20 kg of parts of 4 dm2/kg are 80 dm2; the foot by definition; and the mass
/// a rack gained stands beside the computed one.
#[test]
fn area_by_mass_and_in_feet() {
    let text = "in_h,minutes,area_ft2,mass_kg,area_dm2_kg,mass_gain_g\n0,60,,20,4,10\n2,60,1,,,\n";
    let calendar = Calendar::new("mass", text);
    let racks = live(&calendar.recipe()).loads;
    assert_eq!((racks[0].area_dm2, racks[0].weighed_g, racks[1].weighed_g), (80.0, Some(10.0), None));
    support::assert_relative("dm2 of a square foot", racks[1].area_dm2, 9.290_304, 1e-15);
}

/// Producer: P21 of cases.json: the words of the flag; and words alone are enough to doubt what comes after.
#[test]
fn an_unlisted_addition_makes_what_follows_doubtful() {
    let bath = set(
        &say(&pumped(&without_limits(&nickel_acid())), &[("event.mix_up.note", "nitric acid used for pH")]),
        &[("event.mix_up.at_h", 3.0), ("life.longest_clock_h", 5.0)],
    );
    let life = live(&bath);
    let case = support::case("P21");
    let message = case["expect"]["message"].as_str().expect("a text");
    assert!(life.events[0].doubtful_after && life.events[0].what.contains(message), "{:?}", life.events);
    let flags = bath.life_flags(&life).expect("flags");
    let flag = flags.iter().find(|flag| flag.r#where == "event.mix_up").expect("a flag");
    assert!(flag.what.contains(message) && flag.what.contains("nitric acid used for pH"), "{}", flag.what);
    let nothing = set(&nickel_acid(), &[("event.mix_up.at_h", 3.0)]);
    assert!(matches!(nothing.model(), Err(Error::Recipe { .. })));
}

/// What is said of the racks of a life.
fn remarks(name: &str, text: &str, numbers: &[(&str, f64)]) -> Vec<(String, String)> {
    let calendar = Calendar::new(name, text);
    let recipe = set(&calendar.recipe(), numbers);
    let flags = recipe.life_flags(&live(&recipe)).expect("flags");
    let of_work =
        flags.into_iter().filter(|flag| ["work", "work.loading_dm2_l"].contains(&flag.r#where.as_str()));
    of_work.map(|flag| (flag.r#where, flag.what)).collect()
}

/// Producer: 2,000 dm² in 400 L are 5 dm²/L, more than the 1.5 the recipe was made for.
#[test]
fn racks_far_beyond_the_loading_are_remarked() {
    let two = "in_h,minutes,area_dm2\n0,120,1000\n1,30,1000\n30,30,100\n";
    let found = remarks("heavy", two, &[]);
    let said = &found.first().expect("a remark").1;
    assert_eq!((found.len(), found[0].0.as_str()), (1, "work.loading_dm2_l"), "{found:?}");
    assert!(said.contains("the racks are 5.000 dm2/L at 1.0 h, beyond 1.5 dm2/L"), "{said}");
    // One out at the moment another goes in: 2.5 dm²/L at once is as much again.
    assert_eq!(remarks("light", "in_h,minutes,area_dm2\n0,60,600\n1,60,600\n", &[]), []);
}

/// Producer: a calendar of 26 h that begins again every 24 h never lets the tank rest.
#[test]
fn work_without_a_pause_is_remarked() {
    let long = "in_h,minutes,area_dm2\n0,900,20\n14,720,20\n";
    let found = remarks("overlap", long, &[("work.calendar_repeat_h", 24.0)]);
    assert_eq!((found.len(), found.first().map(|one| one.0.as_str())), (1, Some("work")), "{found:?}");
    assert!(found[0].1.contains("without a pause"), "{}", found[0].1);
    assert_eq!(remarks("rests", long, &[("work.calendar_repeat_h", 30.0)]), []);
}

/// Producer: what stands in the files. A recipe may name any file, so nothing of one that is no calendar is told.
#[test]
fn a_file_that_is_no_calendar_is_not_quoted() {
    let secrets = [
        "root:x:0:0:root:/root:/bin/bash\nsecret:hash:1:2:a,b,c:/home:/bin/sh\n",
        "# remark\nsecret;hash\n1;2;3\n",
        "secret\n\"hash\"letters\n",
        "17,secret\n18,hash\n",
        "note,secret\nhash,hash\n",
        "",
    ];
    for (at, text) in secrets.into_iter().enumerate() {
        let message = refused(&format!("secret-{at}"), text);
        let (_, said) = message.split_once(&format!("secret-{at}.csv")).expect("the file is named");
        for told in ["root", "secret", "hash", "17", "home"] {
            assert!(!said.contains(told), "{message}");
        }
    }
    assert!(refused("passwd", secrets[0]).contains(": not a calendar: expected a line of headings"));
    // One heading that is known is enough to say what is wrong with the others.
    let message = refused("headed", "rack,in_h,minuets,area_dm2\na,0,60,40\n");
    assert!(message.contains("'minuets'") && message.contains("minutes"), "{message}");
}
