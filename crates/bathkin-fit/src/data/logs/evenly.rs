//! What stands in a row of a log, spread over the time since the row before.

use bathkin::constants::SECONDS_PER_HOUR;
use bathkin::life::LoggedSegment;

/// Longest of the equal parts an interval is divided into, s.
const LONGEST_S: f64 = SECONDS_PER_HOUR;
/// Fewest and most of them.
const FEWEST: f64 = 4.0;
const MOST: f64 = 24.0;
/// Closer than this part of the interval an addition and the end of a piece of work are at one time.
const AT_ONE_TIME: f64 = 1e-6;

/// The stretches up to a row, s since the row before: what the row has as added, and as taken out, in n equal parts, one in the
/// middle of each n-th of the time, so that the readings of the row follow all of it.
///
/// n = hours of the interval, rounded up, between 4 and 24. In the middle the content of a bath that is fed and used up evenly
/// differs from that of one fed without a break by at most half a part, and on the mean by nothing; at the row by nothing.
/// The first row has no time before it: what stands there went in before its readings, and they tell it.
pub(super) fn evenly(before: Vec<LoggedSegment>, written: LoggedSegment, since_s: f64) -> Vec<LoggedSegment> {
    let nothing = |piece: &LoggedSegment| LoggedSegment {
        additions: Vec::new(),
        water_l: 0.0,
        removed_l: 0.0,
        ..piece.clone()
    };
    let length_s = written.until_s - since_s;
    let mut pieces = before;
    pieces.push(nothing(&written));
    if !written.changes_bath() || length_s <= 0.0 {
        return pieces;
    }
    let near_s = AT_ONE_TIME * length_s;
    let parts = (length_s / LONGEST_S).ceil().clamp(FEWEST, MOST);
    let part_of = |piece: &LoggedSegment| LoggedSegment {
        additions: written.additions.iter().map(|(solution, litres)| (*solution, litres / parts)).collect(),
        water_l: written.water_l / parts,
        removed_l: written.removed_l / parts,
        ..piece.clone()
    };
    let mut middles =
        (0..parts as usize).map(|part| since_s + length_s * (part as f64 + 0.5) / parts).peekable();
    let mut found = Vec::with_capacity(pieces.len() + parts as usize);
    for piece in pieces {
        while let Some(until_s) = middles.next_if(|middle| *middle < piece.until_s - near_s) {
            found.push(LoggedSegment { until_s, row: None, ..part_of(&piece) });
        }
        let with_its_end = middles.next_if(|middle| *middle <= piece.until_s + near_s);
        found.push(if with_its_end.is_some() { part_of(&piece) } else { piece });
    }
    found
}

#[cfg(test)]
mod tests {
    use super::evenly;
    use bathkin::life::{LoggedSegment, Plates};
    use bathkin::tank::Ramp;

    const HOUR_S: f64 = 3600.0;

    fn segment(until_h: f64, row: Option<usize>, litres: f64) -> LoggedSegment {
        LoggedSegment {
            until_s: until_h * HOUR_S,
            plates: Plates::Area(if row.is_none() { 1.0 } else { 0.0 }),
            temperature: Ramp::held(361.15),
            ph: None,
            row,
            additions: if litres > 0.0 { vec![(0, litres), (2, 0.1 * litres)] } else { Vec::new() },
            water_l: 0.5 * litres,
            removed_l: 0.3 * litres,
        }
    }

    /// Litres of the first solution, of the third, of water, and taken out.
    fn sums(course: &[LoggedSegment]) -> [f64; 4] {
        let of = |which: usize| {
            let all = course.iter().flat_map(|one| &one.additions).filter(|(solution, _)| *solution == which);
            all.map(|(_, litres)| litres).sum::<f64>()
        };
        let all = |of: fn(&LoggedSegment) -> f64| course.iter().map(of).sum::<f64>();
        [of(0), of(2), all(|one| one.water_l), all(|one| one.removed_l)]
    }

    /// Producer: arithmetic. The work of 10 h ends at 2.5 h of 10: nothing is lost, nothing comes twice, and the work stays.
    #[test]
    fn parts_are_equal_and_make_up_what_is_written() {
        for (length_h, parts) in [(0.5, 4), (2.0, 4), (7.3, 8), (10.0, 10), (72.0, 24)] {
            let since_h = 5.0;
            let work = segment(since_h + 0.25 * length_h, None, 0.0);
            let row = segment(since_h + length_h, Some(3), 7.7);
            let course = evenly(vec![work.clone()], row.clone(), since_h * HOUR_S);
            let expected = [7.7, 0.77, 3.85, 2.31];
            for (found, expected) in sums(&course).into_iter().zip(expected) {
                assert!((found / expected - 1.0).abs() < 1e-12, "{length_h} h: {found} {expected}");
            }
            let fed: Vec<&LoggedSegment> = course.iter().filter(|one| one.changes_bath()).collect();
            assert_eq!(fed.len(), parts, "{length_h} h");
            let nth = |at: usize| (since_h + length_h * (at as f64 + 0.5) / parts as f64) * HOUR_S;
            assert!(fed.iter().enumerate().all(|(at, one)| (one.until_s - nth(at)).abs() < 1e-6 * HOUR_S));
            assert!(course.is_sorted_by(|one, next| one.until_s < next.until_s), "{course:?}");
            // The reading of the row comes last, after all of it.
            let last = course.last().expect("the row");
            assert!(last.row == Some(3) && !last.changes_bath() && last.until_s == row.until_s);
            assert!(course[..course.len() - 1].iter().all(|one| one.row.is_none()));
            let works = |one: &&LoggedSegment| one.plates == work.plates;
            let worked_until_s = course.iter().rfind(works).map(|one| one.until_s);
            assert_eq!(worked_until_s, Some(work.until_s));
        }
    }

    /// An addition at the end of a piece of work goes in there: no segment of no length. Producer: 10 h in 10 parts, middle of the
    /// third at 2.5 h.
    #[test]
    fn an_addition_at_the_end_of_work_is_no_segment_of_its_own() {
        let course = evenly(vec![segment(2.5, None, 0.0)], segment(10.0, Some(1), 1.0), 0.0);
        assert_eq!(course.len(), 11);
    }

    #[test]
    fn nothing_written_is_no_more_segments_and_the_first_row_adds_nothing() {
        let idle = evenly(vec![segment(2.0, None, 0.0)], segment(8.0, Some(1), 0.0), 0.0);
        assert_eq!(idle.len(), 2);
        let first = evenly(Vec::new(), segment(0.0, Some(0), 3.0), 0.0);
        assert!(first.len() == 1 && !first[0].changes_bath());
    }
}
