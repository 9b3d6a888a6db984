//! Sobol's indices and Morris's effects: against closed forms, and against SALib on its own sample.

use std::f64::consts::PI;

use bathkin_statistics::morris::MorrisSample;
use bathkin_statistics::sobol_indices::{SobolSample, estimates};
use support::{Csv, assert_within, read, shared};

/// T. Ishigami and T. Homma (1990), a = 7, b = 0.1.
fn ishigami(x: [f64; 3]) -> f64 {
    x[0].sin() + 7.0 * x[1].sin().powi(2) + 0.1 * x[2].powi(4) * x[0].sin()
}

/// First and total indices of it in closed form.
fn closed_form() -> ([f64; 3], [f64; 3]) {
    let (a, b) = (7.0_f64, 0.1_f64);
    let of_first = 0.5 * (1.0 + b * PI.powi(4) / 5.0).powi(2);
    let of_second = a * a / 8.0;
    let together = b * b * PI.powi(8) * (1.0 / 18.0 - 1.0 / 50.0);
    let all = of_first + of_second + together;
    let first = [of_first / all, of_second / all, 0.0];
    (first, [(of_first + together) / all, of_second / all, together / all])
}

fn answers(sample: &SobolSample, shift: f64) -> Vec<f64> {
    let x = |number, place| PI * (2.0 * sample.coordinate(number, place) - 1.0);
    let at = |number| ishigami([x(number, 0), x(number, 1), x(number, 2)]) + shift;
    (0..sample.count()).map(at).collect()
}

#[test]
fn indices_of_ishigami_are_those_of_the_closed_form() {
    let sample = SobolSample::new(3, 1024, 8, 1).expect("a sample");
    // Answers far from zero, as hours of a life are.
    let found = sample.indices(&answers(&sample, 100.0), 0.95).expect("indices");
    let (first, total) = closed_form();
    for place in 0..3 {
        assert_within(format!("first {place}"), found.first[place].value, first[place], 0.01);
        assert_within(format!("total {place}"), found.total[place].value, total[place], 0.01);
    }
    assert_eq!(found.points, 8 * 1024);
}

/// Intervals of 95 % from the scatter of 8 scramblings hold the closed form about as often as they say.
#[test]
fn intervals_hold_the_closed_form() {
    let (first, total) = closed_form();
    let mut held = 0;
    for seed in 0..40 {
        let sample = SobolSample::new(3, 256, 8, seed).expect("a sample");
        let found = sample.indices(&answers(&sample, 0.0), 0.95).expect("indices");
        for place in 0..3 {
            held += usize::from((found.first[place].low..=found.first[place].high).contains(&first[place]));
            held += usize::from((found.total[place].low..=found.total[place].high).contains(&total[place]));
        }
    }
    // 240 intervals; three standard deviations of a count of them are 10, more where the six of a seed go together.
    assert!((205..=239).contains(&held), "{held} of 240");
}

#[test]
fn indices_are_those_of_salib_on_its_own_sample() {
    const FILE: &str = "sobol_indices_salib.csv";
    let text = read(&shared().join("reference").join(FILE));
    let line = |key: &str| -> Vec<f64> {
        let line = text.lines().find_map(|line| line.strip_prefix(key)).expect("a line of indices");
        line.split_whitespace().map(|word| word.parse().expect("a number")).collect()
    };
    let answers: Vec<f64> = Csv::reference(FILE).rows().map(|row| row.number("answer")).collect();
    let found = estimates(&answers, 3).expect("indices");
    for (place, (first, total)) in line("# first =").into_iter().zip(line("# total =")).enumerate() {
        assert_within(format!("first {place}"), found.first[place], first, 1e-6);
        assert_within(format!("total {place}"), found.total[place], total, 1e-6);
    }
}

#[test]
fn a_point_that_lacks_an_answer_is_left_out() {
    let sample = SobolSample::new(3, 256, 2, 1).expect("a sample");
    let mut all = answers(&sample, 0.0);
    all[7] = f64::NAN;
    let found = sample.indices(&all, 0.95).expect("indices");
    assert_eq!(found.points, 511);
    assert_within("total", found.total[1].value, closed_form().1[1], 0.05);
}

#[test]
fn what_has_no_indices_is_refused() {
    let told = |base, scrambles| SobolSample::new(2, base, scrambles, 1).expect_err("refused").to_string();
    assert!(told(1000, 8).starts_with("points of a scrambling = 1000: expected a power of two"));
    assert_eq!(told(64, 1), "1 scramblings: expected at least 2");
    let sample = SobolSample::new(2, 4, 2, 1).expect("a sample");
    let equal = sample.indices(&vec![3.0; sample.count() as usize], 0.95).expect_err("refused").to_string();
    assert!(equal.contains("no scatter is left for indices of variance"), "{equal}");
    assert!(sample.indices(&[f64::NAN; 32], 0.95).is_err());
}

/// y = 3 x₁ - 2 x₂ + 4 x₃ x₄: effects of the first two are their slopes, those of the others half the time 4·(1/8 .. 7/8).
#[test]
fn effects_of_a_line_are_its_slopes() {
    let sample = MorrisSample::new(5, 4, 200, 1).expect("a sample");
    let answer = |x: Vec<f64>| 3.0 * x[0] - 2.0 * x[1] + 4.0 * x[2] * x[3];
    let answers: Vec<f64> = (0..sample.count()).map(|number| answer(sample.point(number))).collect();
    let found = sample.effects(&answers).expect("effects");
    for (place, slope) in [(0, 3.0), (1, -2.0), (4, 0.0)] {
        assert_within("mean", found[place].mean, slope, 1e-12);
        assert_within("size", found[place].mean_size, f64::abs(slope), 1e-12);
        assert_within("deviation", found[place].standard_deviation, 0.0, 1e-12);
    }
    // The effect of x₃ is 4 x₄, x₄ one of 1/8, 3/8, 5/8, 7/8: mean 2, standard deviation √1.25.
    for place in [2, 3] {
        assert_within("mean", found[place].mean, 2.0, 4.0 * (1.25_f64 / 200.0).sqrt());
        assert_within("deviation", found[place].standard_deviation, 1.25_f64.sqrt(), 0.2);
    }
    assert_eq!(found[0].count, 200);
}

#[test]
fn a_trajectory_moves_one_number_at_a_time() {
    let sample = MorrisSample::new(6, 4, 10, 2).expect("a sample");
    for number in (0..sample.count()).filter(|number| (number + 1) % 7 != 0) {
        let (from, to) = (sample.point(number), sample.point(number + 1));
        let moved: Vec<f64> =
            from.iter().zip(&to).map(|(a, b)| (b - a).abs()).filter(|by| *by > 0.0).collect();
        assert_eq!(moved, [0.5]);
        assert!(from.iter().all(|x| [0.125, 0.375, 0.625, 0.875].contains(x)));
    }
    for (dimensions, levels, trajectories) in [(0, 4, 10), (3, 5, 10), (3, 4, 1)] {
        assert!(MorrisSample::new(dimensions, levels, trajectories, 1).is_err());
    }
}
