//! Turns the places of a plexus into its labels (or the empty boxes for them), the names of the columns and the key.

use super::draw::{HEAD, NORMAL, SMALL, SOFT};
use super::fibres::Fate;
use super::plexus::Plexus;
use super::plexus_layout::{Bar, CORD, DIVISION, LABEL, ROOT, TAIL, TRUNK, WIDTH};
use super::shape::{Anchor, Sub, p, stroke};
use super::strokes::{self, Gauge, Sample};
use crate::anatomy::{SegmentIx, SegmentKind};

/// Widest name of a trunk and of a cord before it is broken, in millimetres: beyond it their branches rise.
const TRUNK_NAME: f64 = 16.0;
const CORD_NAME: f64 = 19.0;

impl Plexus<'_> {
    pub(super) fn labels(&mut self) {
        let bars: Vec<(SegmentIx, Bar)> = self.places.bars.iter().map(|(s, b)| (*s, *b)).collect();
        for (segment, bar) in bars {
            let s = &self.model.segments[segment];
            match s.kind {
                SegmentKind::Root => {
                    let name = s
                        .label
                        .strip_suffix(" root")
                        .unwrap_or(&s.label)
                        .to_string();
                    if self.blank {
                        strokes::empty_box(&mut self.drawing, 0.3, bar.y, 7.0);
                    } else {
                        self.drawing
                            .block(&[name], 0.0, bar.y, Anchor::Start, HEAD, true);
                    }
                }
                SegmentKind::Trunk | SegmentKind::Cord => {
                    // Above the stretch, unless a root of another nerve climbs there.
                    let climbs = self.places.slants.iter().any(|(s, (_, row))| {
                        self.model.segments[*s].from.contains(&segment) && *row < bar.y
                    });
                    if self.blank {
                        let middle = bar.y + if climbs { 4.6 } else { -4.6 };
                        strokes::empty_box(&mut self.drawing, bar.from + 0.5, middle, 13.0);
                    } else {
                        let room = match s.kind {
                            SegmentKind::Trunk => TRUNK_NAME,
                            _ => CORD_NAME,
                        };
                        let lines = self.drawing.wrap(&s.label, room, SMALL, false);
                        // Clear of the bars of the lesion's mark, from the descenders of the last line on.
                        let leading = self.drawing.leading(SMALL);
                        let extra = lines.len().saturating_sub(1) as f64;
                        let away = 2.6 + leading * (0.53 + extra / 2.0);
                        let middle = bar.y + if climbs { away } else { -away };
                        self.drawing.block(
                            &lines,
                            bar.from + 0.5,
                            middle,
                            Anchor::Start,
                            SMALL,
                            false,
                        );
                    }
                }
                _ => {}
            }
        }
        for branch in self.places.branches.clone() {
            if self.blank {
                strokes::empty_box(&mut self.drawing, LABEL, branch.y, WIDTH - LABEL - 0.5);
            } else {
                let name = &self.model.nerves[branch.nerve].label;
                let lines = self.drawing.wrap(name, WIDTH - LABEL, SMALL, false);
                self.drawing
                    .block(&lines, LABEL, branch.y, Anchor::Start, SMALL, false);
            }
        }
    }

    /// Names of the columns and the key below the drawing; returns the lower edge.
    pub(super) fn heads_and_key(&mut self) -> f64 {
        let y = self.places.bottom;
        for (from, to, name) in [
            (ROOT.0, 33.0, "fig_roots"),
            (TRUNK.0, TRUNK.1 + 3.0, "fig_trunks"),
            (DIVISION.0 - 4.0, DIVISION.1 + 3.0, "fig_divisions"),
            (CORD.0 + 1.0, CORD.1 + 4.0, "fig_cords"),
            (TAIL.0 - 6.0, WIDTH, "fig_branches"),
        ] {
            self.drawing.line(
                Sub::line(&[p(from, y), p(from, y + 1.2), p(to, y + 1.2), p(to, y)]),
                stroke(0.25, SOFT),
            );
            let middle = (from + to) / 2.0;
            if self.blank {
                strokes::empty_box(&mut self.drawing, middle - 8.0, y + 5.0, 16.0);
            } else {
                let name = self.style.say(name, &[]);
                self.drawing
                    .label(&name, p(middle, y + 5.0), Anchor::Middle, NORMAL, true);
            }
        }
        let mut entries = vec![
            (
                Sample::Line(Fate::Whole, Gauge::Nerve),
                self.style.say("fig_key_anterior", &[]),
            ),
            (
                Sample::Line(Fate::Whole, Gauge::Double),
                self.style.say("fig_key_posterior", &[]),
            ),
        ];
        let saw = |f: Fate| self.seen.iter().any(|s| s.0 == f);
        if saw(Fate::Cut) {
            entries.push((
                Sample::Line(Fate::Cut, Gauge::Nerve),
                self.style.say("fig_key_cut", &[]),
            ));
        }
        if saw(Fate::Part) {
            entries.push((
                Sample::Line(Fate::Part, Gauge::Nerve),
                self.style.say("fig_key_part", &[]),
            ));
        }
        if let Some(lesion) = self.lesion {
            let key = if self.marked {
                "fig_key_lesion"
            } else {
                "fig_key_lesion_outside"
            };
            let words = self.style.say(key, &[("lesion", &lesion.sentence())]);
            entries.push((Sample::Lesion, words));
        }
        if self.blank {
            entries.clear();
        }
        let top = y + if self.blank { 9.0 } else { 8.0 };
        strokes::key(&mut self.drawing, &entries, WIDTH, top) + 1.0
    }
}
