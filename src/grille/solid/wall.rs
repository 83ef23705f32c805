//! Where a straight line meets the wall of a repeat.

use crate::grille::convex;
use crate::grille::solid::RepeatSolid;

/// Pieces of a line at first: at most this share of the largest circle in a hole each, as seen from the turning hole.
const PIECE_SHARE: f64 = 0.125;

/// Times that a piece is halved where it may hide a rib.
const HALVINGS: u32 = 7;

/// Width at which the bisection ends, as a share of the line.
const FINEST: f64 = 1e-13;

/// Most pieces of a line at first.
const MOST_PIECES: f64 = 1e6;

/// Part of a line between two depths of the plate at which edges begin or end.
struct Stretch<'a> {
    solid: &'a RepeatSolid,
    from: [f64; 3],
    path: [f64; 3],
    /// Depths that the stretch keeps to, m.
    depths: (f64, f64),
    /// By how much the margin may change over the whole line, m, if all of it were like this.
    steepness: f64,
}

impl RepeatSolid {
    /// Share of the straight way between two points (depth, y, z; m) after which it first meets solid; `None` if it does not, 0 if it
    /// starts in solid.
    ///
    /// The line is walked in pieces of an eighth of the hole's width at most (as seen from the turning hole), and each is halved up to
    /// seven times where its ends do not exclude a wall in between: the margin of a place changes by at most its way as seen from the hole, plus
    /// the depth where an edge widens it. The wall is then found by
    /// false position.
    ///
    /// # Validity
    /// Within 1e-12 of the line. A rib can be overlooked only if the line runs in it for less than a thousandth of the hole's width.
    pub fn wall_fraction(&self, from: [f64; 3], to: [f64; 3]) -> Option<f64> {
        let path = [to[0] - from[0], to[1] - from[1], to[2] - from[2]];
        let deep = path[0].abs();
        let sideways = convex::length([path[1] - self.lean_slope * path[0], path[2]]);
        let edge = self.front_edge.size().max(self.back_edge.size());
        let farthest = self.outline.farthest() + edge;
        let turned = self.twist.abs() / self.thickness * deep * farthest;
        let borders = [
            0.0,
            self.front_edge.size(),
            self.thickness - self.back_edge.size(),
            self.thickness,
        ];
        let mut cuts = vec![0.0, 1.0];
        if deep > 0.0 {
            let crossings = borders.iter().map(|border| (border - from[0]) / path[0]);
            cuts.extend(crossings.filter(|cut| (0.0..=1.0).contains(cut)));
        }
        cuts.sort_by(f64::total_cmp);
        cuts.windows(2).find_map(|cut| {
            let middle = from[0] + 0.5 * (cut[0] + cut[1]) * path[0];
            if !(0.0..=self.thickness).contains(&middle) {
                return None;
            }
            let below = borders.iter().filter(|border| **border <= middle);
            let above = borders.iter().filter(|border| **border >= middle);
            let is_edge = middle < borders[1] || middle > borders[2];
            Stretch {
                solid: self,
                from,
                path,
                depths: (
                    below.fold(0.0, |depth, border| border.max(depth)),
                    above.fold(self.thickness, |depth, border| border.min(depth)),
                ),
                steepness: sideways + turned + if is_edge { deep } else { 0.0 },
            }
            .first_wall(cut[0], cut[1])
        })
    }
}

impl Stretch<'_> {
    /// How far the line is from being in solid after this share of it, m.
    fn margin(&self, share: f64) -> f64 {
        let depth = (self.from[0] + share * self.path[0]).clamp(self.depths.0, self.depths.1);
        self.solid.plate_section(depth).margin(
            self.from[1] + share * self.path[1],
            self.from[2] + share * self.path[2],
        )
    }

    /// The first share between two at which there is solid.
    fn first_wall(&self, start: f64, end: f64) -> Option<f64> {
        let longest = PIECE_SHARE * self.solid.inscribed_diameter;
        let count = (self.steepness * (end - start) / longest)
            .ceil()
            .clamp(1.0, MOST_PIECES);
        let mut here = (start, self.margin(start));
        if here.1 <= 0.0 {
            return Some(start);
        }
        let mut piece = 1.0;
        while piece <= count {
            let next = start + (end - start) * piece / count;
            let next = (next, self.margin(next));
            if let Some(wall) = self.wall_between(here, next, HALVINGS) {
                return Some(wall);
            }
            here = next;
            piece += 1.0;
        }
        None
    }

    /// The first share between two, each with its margin, at which there is solid; the first one is in the air.
    fn wall_between(&self, here: (f64, f64), next: (f64, f64), halvings: u32) -> Option<f64> {
        let is_air = next.1 > 0.0;
        if is_air && here.1 + next.1 > self.steepness * (next.0 - here.0) {
            return None;
        }
        if halvings == 0 {
            return (!is_air).then(|| self.refine(here, next));
        }
        let middle = 0.5 * (here.0 + next.0);
        let middle = (middle, self.margin(middle));
        let first = self.wall_between(here, middle, halvings - 1);
        if first.is_some() || middle.1 <= 0.0 {
            return first;
        }
        self.wall_between(middle, next, halvings - 1)
    }

    /// The wall between air and solid, each a share with its margin.
    ///
    /// False position with the weight of a side that stays put halved (the Illinois method: Dowell and Jarratt, 1971, "A modified regula falsi
    /// method for computing the root of an equation"; from memory), and a bisection wherever three steps did not shrink the bracket to an eighth.
    fn refine(&self, mut air: (f64, f64), mut solid: (f64, f64)) -> f64 {
        let mut step = 0_u32;
        let mut wanted = solid.0 - air.0;
        let mut was_air = None;
        while solid.0 - air.0 > FINEST {
            let width = solid.0 - air.0;
            step += 1;
            if step.is_multiple_of(3) {
                wanted *= 0.125;
            }
            let share = air.1 / (air.1 - solid.1);
            let middle = if step.is_multiple_of(3) && width > wanted {
                air.0 + 0.5 * width
            } else {
                // Stays clear of the ends, so that the bracket shrinks from both.
                air.0 + (share * width).clamp(0.25 * FINEST, width - 0.25 * FINEST)
            };
            let margin = self.margin(middle);
            let is_air = margin > 0.0;
            if is_air {
                air = (middle, margin);
                if was_air == Some(true) {
                    solid.1 *= 0.5;
                }
            } else {
                solid = (middle, margin);
                if was_air == Some(false) {
                    air.1 *= 0.5;
                }
            }
            was_air = Some(is_air);
        }
        0.5 * (air.0 + solid.0)
    }
}
