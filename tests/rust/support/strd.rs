//! The nonlinear regression sets of NIST's Statistical Reference Datasets: files, models, residuals.

use std::convert::Infallible;

use bathkin_numerics::least_squares::Residuals;
use bathkin_statistics::ResidualModel;
use num_dual::{Dual64, DualNum};

use crate::{read, shared};

/// Names of the 27 sets.
pub const SETS: [&str; 27] = [
    "Bennett5", "BoxBOD", "Chwirut1", "Chwirut2", "DanWood", "ENSO", "Eckerle4", "Gauss1", "Gauss2",
    "Gauss3", "Hahn1", "Kirby2", "Lanczos1", "Lanczos2", "Lanczos3", "MGH09", "MGH10", "MGH17", "Misra1a",
    "Misra1b", "Misra1c", "Misra1d", "Nelson", "Rat42", "Rat43", "Roszman1", "Thurber",
];

/// A set as its file states it.
pub struct Set {
    /// Name.
    pub name: String,
    /// Both starts.
    pub starts: [Vec<f64>; 2],
    /// Certified parameters.
    pub certified: Vec<f64>,
    /// Certified standard deviations.
    pub deviations: Vec<f64>,
    /// Certified sum of squares.
    pub sum_of_squares: f64,
    y: Vec<f64>,
    x: Vec<Vec<f64>>,
    names: Vec<String>,
}

impl Set {
    /// Reads `shared/reference/nist_strd/<name>.dat`.
    ///
    /// # Panics
    /// When the file is not as expected.
    pub fn read(name: &str) -> Self {
        let text = read(&shared().join("reference/nist_strd").join(format!("{name}.dat")));
        let lines: Vec<&str> = text.lines().collect();
        // The head says where what stands: "Data              (lines 61 to 114)".
        let section = |title: &str| -> (usize, usize) {
            let line = lines
                .iter()
                .find(|line| line.contains(title) && line.contains("(lines"))
                .unwrap_or_else(|| panic!("{name}: no {title}"));
            let inside = line.split("(lines").nth(1).expect("lines").replace(')', " ");
            let mut numbers = inside.split_whitespace().filter_map(|word| word.parse().ok());
            (numbers.next().expect("first line"), numbers.next().expect("last line"))
        };
        let numbers = |line: &str| -> Vec<f64> {
            line.split_whitespace().filter_map(|word| word.parse().ok()).collect()
        };
        let (first, last) = section("Starting Values");
        let rows: Vec<Vec<f64>> = lines[first - 1..last]
            .iter()
            .map(|line| numbers(line.split('=').nth(1).unwrap_or_else(|| panic!("{name}: {line}"))))
            .collect();
        let column = |at: usize| rows.iter().map(|row| row[at]).collect::<Vec<f64>>();
        let sum = lines.iter().find(|line| line.contains("Sum of Squares")).expect("a sum of squares");
        let (first, last) = section("Data  ");
        let data: Vec<Vec<f64>> = lines[first - 1..last].iter().map(|line| numbers(line)).collect();
        // Nelson is fitted as ln y.
        let observed = |y: f64| if name == "Nelson" { y.ln() } else { y };
        Set {
            name: name.to_owned(),
            starts: [column(0), column(1)],
            certified: column(2),
            deviations: column(3),
            sum_of_squares: numbers(sum.split(':').nth(1).expect("a value"))[0],
            y: data.iter().map(|row| observed(row[0])).collect(),
            x: data.iter().map(|row| row[1..].to_vec()).collect(),
            names: (1..=rows.len()).map(|i| format!("b{i}")).collect(),
        }
    }
}

impl Residuals for Set {
    type Error = Infallible;

    fn parameters(&self) -> usize {
        self.certified.len()
    }

    fn rows(&self) -> usize {
        self.y.len()
    }

    fn residuals(&self, at: &[f64], residuals: &mut [f64]) -> Result<(), Infallible> {
        for (row, residual) in residuals.iter_mut().enumerate() {
            *residual = calculated(&self.name, at, &self.x[row]) - self.y[row];
        }
        Ok(())
    }

    fn linearise(&self, at: &[f64], residuals: &mut [f64], jacobian: &mut [f64]) -> Result<(), Infallible> {
        self.residuals(at, residuals)?;
        for column in 0..at.len() {
            let b: Vec<Dual64> =
                (0..at.len()).map(|i| Dual64::new(at[i], if i == column { 1.0 } else { 0.0 })).collect();
            for row in 0..self.y.len() {
                jacobian[row * at.len() + column] = calculated(&self.name, &b, &self.x[row]).eps;
            }
        }
        Ok(())
    }
}

impl ResidualModel for Set {
    fn names(&self) -> &[String] {
        &self.names
    }
}

/// The model of a set, as its file writes it.
///
/// # Panics
/// When there is no such set.
fn calculated<D: DualNum<Primitive = f64> + Copy>(name: &str, b: &[D], row: &[f64]) -> D {
    use std::f64::consts::PI;
    let x = row[0];
    let square = |d: D| d * d;
    match name {
        "Bennett5" => b[0] * (-(b[1] + x).ln() / b[2]).exp(),
        "BoxBOD" | "Misra1a" => b[0] * (-(-b[1] * x).exp() + 1.0),
        "Chwirut1" | "Chwirut2" => (-b[0] * x).exp() / (b[1] + b[2] * x),
        "DanWood" => b[0] * (b[1] * x.ln()).exp(),
        "ENSO" => {
            let wave = |period: D, cosine: D, sine: D| {
                let angle = period.recip() * (2.0 * PI * x);
                cosine * angle.cos() + sine * angle.sin()
            };
            let year = 2.0 * PI * x / 12.0;
            b[0] + b[1] * year.cos() + b[2] * year.sin() + wave(b[3], b[4], b[5]) + wave(b[6], b[7], b[8])
        }
        "Eckerle4" => b[0] / b[1] * (square((-b[2] + x) / b[1]) * -0.5).exp(),
        "Gauss1" | "Gauss2" | "Gauss3" => {
            let peak = |height: D, at: D, width: D| height * (-square((-at + x) / width)).exp();
            b[0] * (-b[1] * x).exp() + peak(b[2], b[3], b[4]) + peak(b[5], b[6], b[7])
        }
        "Hahn1" | "Thurber" => {
            (b[0] + (b[1] + (b[2] + b[3] * x) * x) * x) / ((b[4] + (b[5] + b[6] * x) * x) * x + 1.0)
        }
        "Kirby2" => (b[0] + (b[1] + b[2] * x) * x) / ((b[3] + b[4] * x) * x + 1.0),
        "Lanczos1" | "Lanczos2" | "Lanczos3" => {
            b[0] * (-b[1] * x).exp() + b[2] * (-b[3] * x).exp() + b[4] * (-b[5] * x).exp()
        }
        "MGH09" => b[0] * (b[1] * x + x * x) / (b[2] * x + b[3] + x * x),
        "MGH10" => b[0] * (b[1] / (b[2] + x)).exp(),
        "MGH17" => b[0] + b[1] * (-b[3] * x).exp() + b[2] * (-b[4] * x).exp(),
        "Misra1b" => b[0] * (-(b[1] * (x / 2.0) + 1.0).powi(-2) + 1.0),
        "Misra1c" => b[0] * (-(b[1] * (2.0 * x) + 1.0).powf(-0.5) + 1.0),
        "Misra1d" => b[0] * b[1] * x / (b[1] * x + 1.0),
        "Nelson" => b[0] - b[1] * x * (-b[2] * row[1]).exp(),
        "Rat42" => b[0] / ((b[1] - b[2] * x).exp() + 1.0),
        "Rat43" => b[0] * (-((b[1] - b[2] * x).exp() + 1.0).ln() / b[3]).exp(),
        "Roszman1" => b[0] - b[1] * x - (b[2] / (-b[3] + x)).atan() / PI,
        _ => panic!("no model of {name}"),
    }
}

/// Digits to which `found` agrees with `certified`: -log10 of the largest relative error, 11 at most, as
/// many as are certified.
pub fn digits(found: &[f64], certified: &[f64]) -> f64 {
    let worst = found.iter().zip(certified).map(|(f, c)| ((f - c) / c).abs()).fold(0.0, f64::max);
    (-worst.log10()).min(11.0)
}
