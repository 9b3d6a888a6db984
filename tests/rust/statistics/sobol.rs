//! Sobol's sequence against SciPy's, and what scrambling keeps of it. Values: `sobol_scipy.csv`, by `sobol_scipy.py`.

use bathkin_statistics::sobol::Sobol;
use support::Csv;

#[test]
fn the_points_are_those_of_scipy_to_the_bit() {
    let points = Sobol::plain(Sobol::MOST_DIMENSIONS).expect("there are directions");
    let mut seen = 0;
    for row in Csv::reference("sobol_scipy.csv").rows() {
        let (number, dimension) = (row.number("point") as u32, row.number("dimension") as usize);
        assert_eq!(points.coordinate(number, dimension), row.number("value"), "{number}, {dimension}");
        seen += 1;
    }
    assert!(seen > 1000);
}

/// Every dimension has one of 2ᵏ scrambled points in each of 2ᵏ equal intervals, and every two of the first have as many in each square.
#[test]
fn scrambled_points_are_as_even_as_the_plain_ones() {
    let points = Sobol::scrambled(40, 7).expect("there are directions");
    for dimension in 0..40 {
        let mut cells: Vec<usize> =
            (0..256).map(|number| (points.coordinate(number, dimension) * 256.0) as usize).collect();
        cells.sort_unstable();
        assert_eq!(cells, (0..256).collect::<Vec<usize>>(), "dimension {dimension}");
    }
    let mut squares = [0; 256];
    for number in 0..256 {
        let side = |dimension| (points.coordinate(number, dimension) * 16.0) as usize;
        squares[16 * side(0) + side(1)] += 1;
    }
    assert!(squares.iter().all(|count| *count == 1));
}

#[test]
fn a_seed_gives_other_points_inside_the_cube_and_the_same_again() {
    let [one, again, other] = [1, 1, 2].map(|seed| Sobol::scrambled(3, seed).expect("there are directions"));
    for number in 0..64 {
        for dimension in 0..3 {
            let value = one.coordinate(number, dimension);
            assert!(value > 0.0 && value < 1.0);
            assert_eq!(value, again.coordinate(number, dimension));
            assert_ne!(value, other.coordinate(number, dimension));
        }
    }
}

#[test]
fn what_there_are_no_directions_for_is_refused() {
    for dimensions in [0, 513] {
        let told = Sobol::plain(dimensions).expect_err("refused").to_string();
        assert_eq!(told, format!("{dimensions} dimensions of Sobol's sequence: expected 1 to 512"));
    }
}
