//! What passes through an opening, and how wide an opening counts for safety.

use crate::grille::HoleShape;

/// Largest bodies that pass straight through an opening, and the smallest that enclose it; m. Turning through the depth is left out
/// of account, so a twisted hole passes less.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Passage {
    /// Diameter of the largest circle that passes.
    pub circle: f64,
    /// Side of the largest square that passes, in any orientation.
    pub square: f64,
    /// Width of the narrowest slot that holds the opening: the least distance of two parallel lines around it. A thin sheet of any
    /// size that passes is no wider.
    pub slot: f64,
    /// Side of the smallest square around the opening; `None` for openings so long that they count as slots.
    pub enclosing_square: Option<f64>,
    /// Diameter of the smallest circle around the opening; `None` for openings so long that they count as slots.
    pub enclosing_circle: Option<f64>,
}

impl HoleShape {
    /// What passes through a straight hole of this shape.
    ///
    /// ```text
    ///              circle   square                slot       square around          circle around
    /// round d      d        d/√2                  d          d                      d
    /// square s     s        s                     s          s                      √2 s
    /// hexagon f    f        (√3 - 1) f            f          2/√3 cos(15°) f        2/√3 f
    /// triangle s   s/√3     √3/(2 + √3) s         √3/2 s     cos(15°) s             2/√3 s
    /// rhombus l, s h        s/√2 or l s/(l + s)   h          l/√2                   l         l, s: longer and shorter diagonal
    /// slot w, l    w        w if l >= 2 w         w          w + (l - w)/√2         l         h = l s/√(l² + s²)
    /// ```
    ///
    /// The square in a rhombus has a diagonal on the shorter one, or its sides along both; the larger of the two passes.
    ///
    /// A shorter slot passes the square whose corners lie on its round ends.
    pub fn passage(&self) -> Passage {
        let root = 3.0_f64.sqrt();
        let (circle, square, slot, around, circle_around) = match *self {
            Self::Round { diameter: d } => (d, d / 2.0_f64.sqrt(), d, d, d),
            Self::Square { side: s } => (s, s, s, s, 2.0_f64.sqrt() * s),
            Self::Hexagon { across_flats: f } => (
                f,
                (root - 1.0) * f,
                f,
                2.0 / root * 15.0_f64.to_radians().cos() * f,
                2.0 / root * f,
            ),
            Self::Triangle { side: s } => (
                s / root,
                root / (2.0 + root) * s,
                0.5 * root * s,
                15.0_f64.to_radians().cos() * s,
                2.0 / root * s,
            ),
            Self::Rhombus { along, across } => {
                let (long, short) = (along.max(across), along.min(across));
                let height = self.inscribed_diameter();
                let square = (long * short / (long + short)).max(short / 2.0_f64.sqrt());
                (height, square, height, long / 2.0_f64.sqrt(), long)
            }
            Self::Slot { width, length } => {
                let (radius, straight) = (0.5 * width, (0.5 * (length - width)).max(0.0));
                let square = if straight >= radius {
                    width
                } else {
                    straight + (2.0 * radius * radius - straight * straight).sqrt()
                };
                (
                    width,
                    square,
                    width,
                    width + (length - width) / 2.0_f64.sqrt(),
                    length,
                )
            }
        };
        Passage {
            circle,
            square,
            slot,
            enclosing_square: Some(around),
            enclosing_circle: Some(circle_around),
        }
    }
}
