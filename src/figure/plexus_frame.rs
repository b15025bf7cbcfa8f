//! Where from left to right do the columns of a plexus, the tracks of its nerves and their names stand? In millimetres.

use super::plexus_columns::Column;
use crate::anatomy::Model;

pub const WIDTH: f64 = 170.0;
/// Rootlets, up to the ganglion.
pub const ROOT: (f64, f64) = (9.5, 17.5);
/// Distance of two branches where they leave.
pub const CHANNEL: f64 = 2.8;
/// The same where each passes many others.
const TRACK: f64 = 4.0;
/// Radius of the bend where a branch leaves or turns into its row.
pub const BEND: f64 = 1.6;
/// Least end of the roots, and the first branch that leaves them.
pub const ROOTS_END: f64 = 33.0;
const ROOT_EXIT: f64 = 25.0;
const NAMED: f64 = 16.5;
const UNNAMED: f64 = 6.0;
/// The straight end of every branch, where its own lesions are marked.
const TAIL: f64 = 6.7;

#[derive(Debug)]
pub struct Frame {
    /// Roots first. Those of fans without what springs from its own kind.
    pub columns: Vec<(f64, f64)>,
    /// Where the columns begin to give off branches, and how far on these make them reach.
    exits: Vec<(f64, f64)>,
    /// Where short stretches that make up one nerve join.
    pub join: f64,
    first_channel: f64,
    apart: f64,
    pub tail: (f64, f64),
    /// Left edge of the names of nerves.
    pub label: f64,
}

impl Frame {
    /// `exits`: how many branches leave each column on the outside; `channels`: how many tracks lie beyond the last.
    pub fn of(
        model: &Model,
        columns: &[Column],
        exits: &[usize],
        channels: usize,
        fans: bool,
    ) -> Frame {
        let taken = |c: usize| CHANNEL * exits.get(c).copied().unwrap_or(0) as f64;
        let unnamed = |c: &Column| model.kinds[c.kind].unnamed || c.depth > 0;
        let roots_end = (ROOT_EXIT + taken(0)).max(ROOTS_END);
        let mut placed = vec![(ROOT.1, roots_end)];
        let mut leave = vec![(ROOT_EXIT, taken(0))];
        let mut usual = ROOTS_END;
        for (c, pair) in columns.windows(2).enumerate() {
            // More room where many lines cross: beyond divisions.
            let gap = match (c, unnamed(&pair[0])) {
                (0, _) => 8.0,
                (_, false) => 9.5,
                (_, true) => 14.0,
            };
            let before = placed.last().map_or(0.0, |p: &(f64, f64)| p.1);
            let from = (usual + gap).max(before + 3.9);
            let is_last = c + 2 == columns.len();
            let width = match unnamed(&pair[1]) {
                true => UNNAMED,
                // Beyond the last its branches fan out from the end of its name.
                false if is_last && fans => 16.0,
                false => NAMED,
            };
            usual = from + width;
            let first = usual + if unnamed(&pair[1]) { 0.0 } else { 0.5 };
            leave.push((first, taken(c + 1)));
            placed.push((from, usual + taken(c + 1)));
        }
        let end = placed.last().map_or(0.0, |p| p.1);
        let join = end + 9.0;
        let (first_channel, apart) = if fans {
            (join + 1.2, CHANNEL)
        } else {
            (end + 4.0, TRACK)
        };
        let last = first_channel + apart * channels.saturating_sub(1) as f64;
        let tail = last + BEND + 0.5;
        Frame {
            columns: placed,
            exits: leave,
            join,
            first_channel,
            apart,
            tail: (tail, tail + TAIL),
            label: tail + TAIL + 1.8,
        }
    }

    /// Where the n-th branch leaves this column on the outside.
    pub fn exit(&self, column: usize, n: usize) -> f64 {
        let first = self.exits.get(column).or(self.exits.last());
        first.map_or(ROOT_EXIT, |e| e.0) + CHANNEL * n as f64
    }

    /// How much further a column reaches for the branches that leave it on the outside.
    pub fn taken(&self, column: usize) -> f64 {
        self.exits.get(column).map_or(0.0, |e| e.1)
    }

    pub fn channel(&self, track: usize) -> f64 {
        self.first_channel + self.apart * track as f64
    }
}
