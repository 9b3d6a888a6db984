//! Best points of boxes under limits, against closed forms.

use bathkin_statistics::optimise::{Answer, Effort, Goal, Limit, Optimiser, Problem, Response, Tried};
use rayon::ThreadPoolBuilder;
use support::{assert_relative, assert_within};

/// A function of points of the unit cube.
struct Of<F>(F);

impl<F: Fn(&[f64]) -> Option<Vec<f64>> + Sync> Response for Of<F> {
    type Failure = &'static str;

    fn at(&self, point: &[f64]) -> Answer<&'static str> {
        assert!(point.iter().all(|part| (0.0..=1.0).contains(part)), "{point:?} is out of the box");
        (self.0)(point).map_or(Answer::Failed("no answer"), Answer::Found)
    }
}

const EFFORT: Effort = Effort { starts: 4, restarts: 2 };

fn least(limits: Vec<Limit>) -> Problem {
    Problem { goal: Goal { output: 0, most: false }, limits }
}

fn searched<F: Fn(&[f64]) -> Option<Vec<f64>> + Sync>(
    of: &Of<F>,
    dimensions: usize,
    problem: &Problem,
) -> Tried<&'static str> {
    let mut search = Optimiser::new(of, dimensions, 1).expect("there are directions");
    search.explore(64);
    search.improve(problem, EFFORT);
    search.tried[problem.best(&search.tried).expect("an answer")].clone()
}

fn outputs<'a>(tried: &'a Tried<&'static str>) -> &'a [f64] {
    tried.found.as_ref().expect("an answer")
}

/// The greatest x + y within x² + y² ≤ 0.8² is 0.8 √2, at x = y = 0.8 / √2.
#[test]
fn a_corner_of_a_circle() {
    let of = Of(|at: &[f64]| Some(vec![at[0] + at[1], at[0] * at[0] + at[1] * at[1]]));
    let within = Limit { output: 1, at_least: false, bound: 0.64 };
    let problem = Problem { goal: Goal { output: 0, most: true }, limits: vec![within] };
    let best = searched(&of, 2, &problem);
    assert_relative("goal", outputs(&best)[0], 0.8 * 2.0_f64.sqrt(), 1e-3);
    assert!(problem.is_met(outputs(&best)), "a best point is within its limits to the last bit");
    assert_within("x", best.point[0], 0.8 / 2.0_f64.sqrt(), 0.02);
}

/// A curved valley as Rosenbrock's, 10 (y - x²)² + (1 - x)², over -2 to 2: zero at (1, 1); on the bound x = 0.5 it is 0.25.
#[test]
fn a_curved_valley_and_a_bound_across_it() {
    let of = |high: f64| {
        Of(move |at: &[f64]| {
            let (x, y) = (-2.0 + at[0] * (high + 2.0), -2.0 + 4.0 * at[1]);
            Some(vec![10.0 * (y - x * x).powi(2) + (1.0 - x).powi(2)])
        })
    };
    let valley = searched(&of(2.0), 2, &least(Vec::new()));
    // A ten-thousandth of the 369 that it goes to over the box.
    assert!(outputs(&valley)[0] < 0.037, "{valley:?}");
    let bounded = searched(&of(0.5), 2, &least(Vec::new()));
    assert_within("goal", outputs(&bounded)[0], 0.25, 0.03);
}

/// Rastrigin's function in three numbers with half its waves has 27 minima in the box; the lowest, zero, lies at (0.3, 0.3, 0.3).
#[test]
fn the_lowest_of_several_minima() {
    let term = |part: &f64| {
        let x = 3.0 * (part - 0.3);
        x * x + 0.5 * (1.0 - (std::f64::consts::TAU * x).cos())
    };
    let of = Of(|at: &[f64]| Some(vec![at.iter().map(term).sum()]));
    let best = searched(&of, 3, &least(Vec::new()));
    assert!(outputs(&best)[0] < 0.01, "{best:?}");
}

/// With x ≥ 0.9 and x ≤ 0.2 asked, 0.35 of the width is broken at best, wherever x lies between.
#[test]
fn what_cannot_be_kept_is_broken_least() {
    let of = Of(|at: &[f64]| Some(vec![at[1], at[0]]));
    let limits = vec![
        Limit { output: 1, at_least: true, bound: 0.9 },
        Limit { output: 1, at_least: false, bound: 0.2 },
    ];
    let best = searched(&of, 2, &least(limits));
    assert!((0.2..=0.9).contains(&outputs(&best)[1]));
    // Among all that break as much the goal decides, but rounding has the last word on what is as much.
    assert!(outputs(&best)[0] < 0.2, "{best:?}");
}

/// A third of the box has no answer, beside which the best of the rest lies.
#[test]
fn a_best_point_beside_what_fails() {
    let of = Of(|at: &[f64]| (at[0] >= 1.0 / 3.0).then(|| vec![at[0] + (at[1] - 0.5).powi(2)]));
    let best = searched(&of, 2, &least(Vec::new()));
    assert_within("goal", outputs(&best)[0], 1.0 / 3.0, 5e-3);
}

/// Steps of height h on a slope that bends scatter about it by h/√12: the standard deviation of what rounding takes.
#[test]
fn the_scatter_of_steps() {
    const HEIGHT: f64 = 1e-4;
    let of = Of(|at: &[f64]| {
        let smooth = 3.0 + at[0] + 0.5 * at[1] * at[1];
        Some(vec![(smooth / HEIGHT).round() * HEIGHT, smooth])
    });
    let mut search = Optimiser::new(&of, 2, 1).expect("there are directions");
    let (nearby, neighbours) = search.nearby(&[0.4, 1.0]);
    assert_eq!(neighbours.len(), 24);
    let steps = nearby[0].expect("neighbours");
    // 19 degrees of freedom know a standard deviation to 16 %.
    assert_relative("scatter", steps.scatter, HEIGHT / 12.0_f64.sqrt(), 0.45);
    assert_within("smooth", steps.smooth, 3.9, HEIGHT);
    assert!(nearby[1].expect("neighbours").scatter < 1e-13);
}

#[test]
fn threads_change_no_bit_and_a_seed_does() {
    let of = Of(|at: &[f64]| Some(vec![(at[0] - 0.3).powi(2) + (7.0 * at[1]).sin()]));
    let path = |threads: usize, seed: u64| {
        let pool = ThreadPoolBuilder::new().num_threads(threads).build().expect("threads");
        pool.install(|| {
            let mut search = Optimiser::new(&of, 2, seed).expect("there are directions");
            search.explore(16);
            search.improve(&least(Vec::new()), EFFORT);
            search.tried
        })
    };
    let one = path(1, 5);
    assert_eq!(one, path(2, 5));
    assert_eq!(one, path(4, 5));
    assert_ne!(one, path(1, 6));
}

/// What stops after so many answers keeps them, and ends soon.
#[test]
fn what_is_stopped_keeps_what_it_has() {
    struct Stops(std::sync::atomic::AtomicUsize);
    impl Response for Stops {
        type Failure = ();
        fn at(&self, point: &[f64]) -> Answer<()> {
            let before = self.0.fetch_add(1, std::sync::atomic::Ordering::Relaxed);
            if before < 40 { Answer::Found(vec![point[0]]) } else { Answer::Stopped }
        }
    }
    let of = Stops(0.into());
    let mut search = Optimiser::new(&of, 1, 1).expect("there are directions");
    search.explore(32);
    search.improve(&least(Vec::new()), EFFORT);
    assert!(search.stopped);
    assert_eq!(search.tried.len(), 40);
}
