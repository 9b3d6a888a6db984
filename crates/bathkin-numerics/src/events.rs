//! Which event comes first inside a step, and where.
//!
//! Everything here is in terms of `θ`, 0 at the start and 1 at the end of a step.

use crate::Crossing;
use crate::minimum::dip_to_zero;
use crate::roots::{Bracket, RootError, narrow_bracket};

/// Far more than the method needs from a width of 1 down to rounding.
const MAX_EVALUATIONS: usize = 500;

/// The event functions along a step.
pub(crate) trait AlongStep<E> {
    /// Writes all of them at `θ`.
    fn all(&mut self, theta: f64, values: &mut [f64]) -> Result<(), E>;

    /// One of them at `θ`; `values` is memory for all.
    fn one(&mut self, index: usize, theta: f64, values: &mut [f64]) -> Result<f64, E> {
        self.all(theta, values)?;
        Ok(values[index])
    }
}

impl<E, F: FnMut(f64, &mut [f64]) -> Result<(), E>> AlongStep<E> for F {
    fn all(&mut self, theta: f64, values: &mut [f64]) -> Result<(), E> {
        self(theta, values)
    }
}

/// The first event of a step.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Found {
    /// Where, on the crossed side.
    pub(crate) theta: f64,
    /// Which; the lowest index if several are crossed there.
    pub(crate) index: usize,
    /// The others that are crossed there too.
    pub(crate) also: Vec<usize>,
}

/// Why a step could not be scanned.
#[derive(Debug, PartialEq)]
pub(crate) enum ScanError<E> {
    Function(E),
    NotLocated { index: usize, theta: f64 },
}

impl<E> From<E> for ScanError<E> {
    fn from(source: E) -> Self {
        Self::Function(source)
    }
}

/// The side from which an event must come to fire.
#[derive(Debug, Clone, Copy, PartialEq)]
enum Armed {
    No,
    Above,
    Below,
}

impl Armed {
    fn by(direction: Crossing, value: f64) -> Self {
        match direction {
            Crossing::Falling | Crossing::Either if value > 0.0 => Self::Above,
            Crossing::Rising | Crossing::Either if value < 0.0 => Self::Below,
            _ => Self::No,
        }
    }

    fn fires(self, value: f64) -> bool {
        match self {
            Self::No => false,
            Self::Above => value <= 0.0,
            Self::Below => value >= 0.0,
        }
    }
}

/// A point of the step at which all event values are known.
#[derive(Debug, Clone, Copy)]
struct Node {
    theta: f64,
    /// Offset of its values.
    row: usize,
}

/// Arms the events and finds the first that fires.
pub(crate) struct Watch {
    directions: Vec<Crossing>,
    armed: Vec<Armed>,
    samples: usize,
    nodes: Vec<Node>,
    values: Vec<f64>,
    scratch: Vec<f64>,
}

impl Watch {
    /// Starts a watch with the event values at the start of the segment.
    pub(crate) fn new(directions: Vec<Crossing>, start: Vec<f64>, samples: usize) -> Self {
        let armed =
            directions.iter().zip(&start).map(|(&direction, &value)| Armed::by(direction, value)).collect();
        Self {
            directions,
            armed,
            samples,
            nodes: Vec::with_capacity(samples + 2),
            scratch: start.clone(),
            values: start,
        }
    }

    /// Looks through one step. `tolerance` is in units of `θ`.
    ///
    /// The values at `θ = 0` are those at the end of the step before.
    pub(crate) fn scan<E>(
        &mut self,
        functions: &mut impl AlongStep<E>,
        tolerance: f64,
    ) -> Result<Option<Found>, ScanError<E>> {
        self.sample(functions)?;
        self.add_dips(functions, tolerance)?;
        for pair in 1..self.nodes.len() {
            let (from, to) = (self.nodes[pair - 1], self.nodes[pair]);
            if let Some(found) = self.first_between(from, to, functions, tolerance)? {
                return Ok(Some(found));
            }
            for (i, armed) in self.armed.iter_mut().enumerate() {
                if *armed == Armed::No {
                    *armed = Armed::by(self.directions[i], self.values[to.row + i]);
                }
            }
        }
        // The end of this step is the start of the next.
        if let Some(end) = self.nodes.last() {
            let count = self.armed.len();
            self.values.copy_within(end.row..end.row + count, 0);
        }
        Ok(None)
    }

    fn sample<E>(&mut self, functions: &mut impl AlongStep<E>) -> Result<(), E> {
        let count = self.armed.len();
        let last = self.samples + 1;
        self.nodes.clear();
        self.values.resize((last + 1) * count, 0.0);
        self.nodes.extend((0..=last).map(|j| Node { theta: j as f64 / last as f64, row: j * count }));
        // The end first: the right-hand side was asked there last, and may remember it.
        for node in self.nodes[1..].iter().rev() {
            functions.all(node.theta, &mut self.values[node.row..node.row + count])?;
        }
        Ok(())
    }

    /// Adds a node wherever an event function passes zero and comes back between two samples.
    fn add_dips<E>(&mut self, functions: &mut impl AlongStep<E>, tolerance: f64) -> Result<(), E> {
        let count = self.armed.len();
        let sampled = self.nodes.len();
        for i in 0..count {
            for j in 1..sampled.saturating_sub(1) {
                let [a, b, c] = [j - 1, j, j + 1].map(|j| self.nodes[j]);
                let [v_a, v_b, v_c] = [a, b, c].map(|node| self.values[node.row + i]);
                let sign = if v_b < 0.0 { -1.0 } else { 1.0 };
                let spans = suspected([sign * v_a, sign * v_b, sign * v_c], j == 1, j + 2 == sampled);
                let scratch = &mut self.scratch;
                let mut value = |theta: f64| Ok(sign * functions.one(i, theta, scratch)?);
                let thetas = [a.theta, b.theta, c.theta];
                for (low, high) in spans.into_iter().flatten() {
                    let dip = dip_to_zero(&mut value, thetas[low], thetas[high], tolerance)?;
                    if let Some(theta) = dip {
                        let row = self.values.len();
                        self.values.resize(row + count, 0.0);
                        functions.all(theta, &mut self.values[row..])?;
                        self.nodes.push(Node { theta, row });
                        break;
                    }
                }
            }
        }
        if self.nodes.len() > sampled {
            self.nodes.sort_by(|a, b| a.theta.total_cmp(&b.theta));
        }
        Ok(())
    }

    /// The first event that fires after `from` and not later than `to`.
    fn first_between<E>(
        &mut self,
        from: Node,
        to: Node,
        functions: &mut impl AlongStep<E>,
        tolerance: f64,
    ) -> Result<Option<Found>, ScanError<E>> {
        let mut first: Option<(f64, usize)> = None;
        for i in 0..self.armed.len() {
            if !self.armed[i].fires(self.values[to.row + i]) {
                continue;
            }
            let scratch = &mut self.scratch;
            let narrowed = narrow_bracket(
                |theta| functions.one(i, theta, scratch),
                Bracket {
                    low: from.theta,
                    high: to.theta,
                    f_low: self.values[from.row + i],
                    f_high: self.values[to.row + i],
                },
                tolerance,
                MAX_EVALUATIONS,
            );
            let theta = match narrowed {
                Ok(bracket) => bracket.high,
                Err(RootError::Function(source)) => return Err(ScanError::Function(source)),
                Err(_) => {
                    return Err(ScanError::NotLocated { index: i, theta: to.theta });
                }
            };
            if first.is_none_or(|(earliest, _)| theta < earliest) {
                first = Some((theta, i));
            }
        }
        let Some((theta, index)) = first else {
            return Ok(None);
        };
        functions.all(theta, &mut self.scratch)?;
        // Whatever is crossed here is past for a restart from here, so none may be kept silent.
        let armed = &self.armed;
        let scratch = &self.scratch;
        let mut crossed = (0..armed.len()).filter(|&i| armed[i].fires(scratch[i]));
        // An event function that is itself solved for may miss zero by its own tolerance when it
        // is evaluated once more; the event that was located stands.
        let index = crossed.next().unwrap_or(index);
        Ok(Some(Found { theta, index, also: crossed.collect() }))
    }
}

/// Pairs of positions in a triple of equally spaced values (positive in the middle) between which
/// the function may dip to zero.
fn suspected(v: [f64; 3], first: bool, last: bool) -> [Option<(usize, usize)>; 3] {
    let mut spans = [None; 3];
    let largest = v[0].max(v[2]);
    if v.iter().any(|&value| value <= 0.0) {
        return spans;
    }
    // A parabola lies below its lowest sample by at most an eighth of the fall to it, a kink by
    // half. Asking for no more than the whole fall leaves out constant values and their rounding.
    let reaches_zero = |lowest: f64| lowest <= largest.max(v[1]) - lowest;
    if v[1] <= v[0] && v[1] <= v[2] {
        if reaches_zero(v[1]) {
            spans[0] = Some((0, 2));
        }
        return spans;
    }
    // At the ends of the step there is no outer neighbour: the slope of the parabola decides.
    if first && v[0] < v[1] && -3.0 * v[0] + 4.0 * v[1] - v[2] < 0.0 && reaches_zero(v[0]) {
        spans[1] = Some((0, 1));
    }
    if last && v[2] < v[1] && -3.0 * v[2] + 4.0 * v[1] - v[0] < 0.0 && reaches_zero(v[2]) {
        spans[2] = Some((1, 2));
    }
    spans
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::convert::Infallible;

    fn scan(direction: Crossing, f: impl Fn(f64) -> f64) -> Option<f64> {
        let mut watch = Watch::new(vec![direction], vec![f(0.0)], 4);
        let mut evaluate = |theta: f64, values: &mut [f64]| {
            values[0] = f(theta);
            Ok::<_, Infallible>(())
        };
        watch.scan(&mut evaluate, 1e-12).unwrap().map(|found| found.theta)
    }

    // Expected: the roots written into each function.
    #[test]
    fn narrow_dips_are_found_wherever_they_lie() {
        // 1e-3 wide, twenty times narrower than the spacing of the samples.
        for start in [0.0005, 0.07, 0.1995, 0.31, 0.55, 0.79, 0.93, 0.9985] {
            let dip = |x: f64| (x - start) * (x - start - 1e-3);
            for (direction, sign) in [(Crossing::Falling, 1.0), (Crossing::Rising, -1.0)] {
                let theta = scan(direction, |x| sign * dip(x)).unwrap();
                assert!((theta - start).abs() < 1e-11, "{theta} for {start}");
                // Coming from the other side only the way back counts.
                let theta = scan(direction, |x| -sign * dip(x)).unwrap();
                assert!((theta - start - 1e-3).abs() < 1e-11);
            }
        }
        assert_eq!(scan(Crossing::Falling, |x| (x - 0.31).powi(2) + 1e-9), None);
        assert_eq!(scan(Crossing::Falling, |_| 1.0), None);
    }

    #[test]
    fn directions_and_arming() {
        let falls = |x: f64| 0.4 - x;
        assert!(scan(Crossing::Falling, falls).is_some());
        assert!(scan(Crossing::Either, falls).is_some());
        assert_eq!(scan(Crossing::Rising, falls), None);
        // Past at the start: fires only after it has come back.
        assert_eq!(scan(Crossing::Falling, |x| x - 0.5), None);
        assert_eq!(scan(Crossing::Falling, |x| -x), None);
        assert_eq!(scan(Crossing::Either, |x| x), None);
        // Zero at the very end counts.
        assert_eq!(scan(Crossing::Falling, |x| 1.0 - x), Some(1.0));
    }

    #[test]
    fn the_earliest_wins_and_the_simultaneous_are_named() {
        let mut evaluate = |x: f64, v: &mut [f64]| {
            v.copy_from_slice(&[0.50001 - x, 0.5 - x, 3.0 * (0.5 - x), 0.9 - x]);
            Ok::<_, Infallible>(())
        };
        let mut start = vec![0.0; 4];
        evaluate(0.0, &mut start).unwrap();
        let mut watch = Watch::new(vec![Crossing::Falling; 4], start, 4);
        let found = watch.scan(&mut evaluate, 1e-9).unwrap().unwrap();
        assert!((found.theta - 0.5).abs() <= 1e-9 && found.theta >= 0.5);
        assert_eq!((found.index, found.also), (1, vec![2]));
    }

    #[test]
    fn a_failing_event_function_is_reported() {
        let mut watch = Watch::new(vec![Crossing::Falling], vec![1.0], 4);
        let mut evaluate = |theta: f64, _: &mut [f64]| Err(theta);
        // The end is looked at first.
        assert_eq!(watch.scan(&mut evaluate, 1e-9), Err(ScanError::Function(1.0)));
    }
}
