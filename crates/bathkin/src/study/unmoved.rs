//! Varied numbers that change nothing in the answer.

use crate::flag::Flag;
use crate::study::bath::Rate;
use bathkin_numerics::short;

/// Relative difference below which two numbers of an answer are the same: ten times what an equilibrium is
/// solved to.
const SAME: f64 = 1e-6;

/// A flag for each varied path along which rate and composition stay as they are, whatever the others are.
pub(crate) fn flag_unmoved(varied: &[(String, Vec<f64>)], points: &[Option<&Rate>]) -> Vec<Flag> {
    let mut stride: usize = points.len();
    varied
        .iter()
        .filter_map(|(path, values)| {
            stride /= values.len();
            let (low, high) = ends(values);
            if low == high {
                return None;
            }
            let unmoved = |numbers: fn(&Rate) -> Vec<f64>| {
                let mut compared = false;
                let along = groups(points, values.len(), stride);
                let still = along.into_iter().all(|rates| match rates.split_first() {
                    Some((first, others)) => {
                        compared |= !others.is_empty();
                        others.iter().all(|rate| same(&numbers(rate), &numbers(first)))
                    }
                    None => true,
                });
                compared && still
            };
            let what = match (unmoved(of_deposit), unmoved(of_liquid)) {
                (true, true) => {
                    "changes nothing here: rate, composition, pH, free metal and ionic strength stay"
                }
                (true, false) => "changes neither the rate nor the composition",
                (false, _) => return None,
            };
            let what = format!("{path} from {} to {} {what}", short(low), short(high));
            Some(Flag { r#where: format!("sweep.{path}"), what })
        })
        .collect()
}

/// The rates along one path, for each setting of the others; points without a rate are left out.
fn groups<'a>(points: &[Option<&'a Rate>], values: usize, stride: usize) -> Vec<Vec<&'a Rate>> {
    let starts = (0..points.len()).filter(|at| (at / stride).is_multiple_of(values));
    let along = |start: usize| (0..values).filter_map(move |at| points[start + at * stride]);
    starts.map(|start| along(start).collect()).collect()
}

fn ends(values: &[f64]) -> (f64, f64) {
    values
        .iter()
        .fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), value| (low.min(*value), high.max(*value)))
}

fn of_deposit(rate: &Rate) -> Vec<f64> {
    let named = rate.half_reactions_mol_m2_s.iter().chain(&rate.bulk_reactions_mol_l_s);
    let mut numbers: Vec<f64> = named.map(|(_, value)| *value).collect();
    numbers.extend([rate.deposition_um_h, rate.alloy_wt_pct, rate.hydrogen_l_m2_h]);
    numbers.extend(rate.potential_v_she);
    numbers.extend(rate.plate_out_pct);
    numbers
}

fn of_liquid(rate: &Rate) -> Vec<f64> {
    vec![rate.temperature_c, rate.ph, rate.free_metal_mol_l, rate.ionic_strength_mol_l]
}

/// True where every number is that of the other, both may be undetermined.
fn same(one: &[f64], other: &[f64]) -> bool {
    let close =
        |(a, b): (&f64, &f64)| (a - b).abs() <= SAME * a.abs().max(b.abs()) || (a.is_nan() && b.is_nan());
    one.len() == other.len() && one.iter().zip(other).all(close)
}
