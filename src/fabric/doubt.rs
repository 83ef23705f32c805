//! Doubts about a fabric: data that travels with its law into every output.

use crate::air::Air;
use crate::fabric::{
    Contact, Fabric, FabricKind, FabricLaw, Grid, LARGEST_WIRE_REYNOLDS, LEAST_WIRE_REYNOLDS,
    OPEN_FRACTIONS, SMOOTH_TENSION, SPOTLESS_GAP_IN_HOLES, Source, bow,
};
use crate::handbook::LEAST_HOLE_REYNOLDS;
use crate::likely::Warning;

/// Residual of readings above which they do not lie on one law.
const LARGEST_RESIDUAL: f64 = 0.15;

impl Fabric {
    /// What is doubtful about the fabric's law at a face velocity (m/s).
    pub fn doubts(&self, law: &FabricLaw, velocity: f64, air: &Air) -> Vec<Warning> {
        let mut doubts = Vec::new();
        match law.source {
            Source::Geometry(_) => {
                if !law.may_be_ranked() {
                    doubts.push(doubt(
                        "fabric-guess",
                        "a knit of yarn cannot be ranked from its threads alone: what loops and flattened yarn cost varies more than tenfold",
                        "measure it: pressure at two air speeds, or the flow with it in per cent of the bare fan's",
                    ));
                }
                doubts.extend(
                    self.kind
                        .iter()
                        .filter_map(|kind| formula_doubt(kind, velocity, air)),
                );
            }
            Source::Bench {
                residual: Some(residual),
                ..
            } if residual > LARGEST_RESIDUAL => {
                doubts.push(doubt(
                    "fabric-readings-scatter",
                    &format!(
                        "the readings do not fit one curve: they are off by {:.0} %",
                        100.0 * residual
                    ),
                    "measure again, at rising air speeds, after checking the meter's zero",
                ));
            }
            Source::Bench { .. } | Source::FibreRun => {}
        }
        if !law.covers(velocity) {
            let (low, high) = law.velocities;
            doubts.push(doubt(
                "fabric-beyond-readings",
                &format!("{velocity:.2} m/s is outside the {low:.2} to {high:.2} m/s for which its pressure law holds"),
                "take readings near that air speed",
            ));
        }
        doubts
    }
}

/// What to mind about a panel of fabric (diameter in m) near moving blades, at the pressure (Pa) over it.
pub fn sag_caution(pressure: f64, diameter: f64) -> Warning {
    let bowed = 1000.0 * bow(pressure, diameter, SMOOTH_TENSION);
    doubt(
        "fabric-sag",
        &format!(
            "fabric bulges with the air, on the suction side towards moving blades: {bowed:.1} mm across the bore if every millimetre of its edge is pulled with 1 g, ten times that if it is nearly slack"
        ),
        "stretch it on a frame, keep it away from the blades by far more than it bulges, and secure every loose end",
    )
}

/// What to mind about any fabric where cooling depends on the air.
pub fn clogging_caution() -> Warning {
    doubt(
        "fabric-clogs",
        "dust clogs a fabric bit by bit and takes the cooling away",
        "clean it regularly, watch the temperatures, and let the PC shut down before it overheats",
    )
}

/// What is wrong with using the formula for this fabric at this speed.
fn formula_doubt(kind: &FabricKind, velocity: f64, air: &Air) -> Option<Warning> {
    let number = kind.reynolds_number(velocity, air);
    let grid: Grid = match kind {
        FabricKind::Sheet(_) => {
            return (number < LEAST_HOLE_REYNOLDS).then(|| doubt(
                "fabric-outside-formula",
                &format!("the Reynolds number in its holes is {number:.0}; the handbook's formula starts at {LEAST_HOLE_REYNOLDS:.0}, and the friction added below that is an assumption"),
                "measure the fabric if your choice depends on it",
            ));
        }
        FabricKind::Knit(knit) => knit.grid(),
        FabricKind::Woven(woven) => woven.grid(),
    };
    let open = grid.open_fraction;
    let (low, high) = OPEN_FRACTIONS;
    let reason = if !grid.is_in_range() {
        format!(
            "its open area is {:.0} %; the formulas were checked from {:.0} to {:.0} %",
            100.0 * open,
            100.0 * low,
            100.0 * high
        )
    } else if number < LEAST_WIRE_REYNOLDS {
        format!(
            "the Reynolds number at its threads is {number:.1}; the screen formula starts at {LEAST_WIRE_REYNOLDS:.0}, and slow flow past rows of threads extends it below that"
        )
    } else if number > LARGEST_WIRE_REYNOLDS {
        format!(
            "the Reynolds number at its threads is {number:.0}; the screen formula ends at {LARGEST_WIRE_REYNOLDS:.0}"
        )
    } else {
        return None;
    };
    Some(doubt(
        "fabric-outside-formula",
        &reason,
        "measure the fabric if your choice depends on it",
    ))
}

impl Contact {
    /// What to mind about a fabric that stands so to a grille; nothing for one that costs no more than far away.
    pub fn caution(self) -> Option<Warning> {
        match self {
            Self::Spaced => None,
            Self::Pressed | Self::Near => Some(doubt(
                "fabric-near-holes",
                "a fabric on or close to the holes of a grille works only where the holes are: it costs more, and clogs in spots",
                &format!(
                    "keep it at least {SPOTLESS_GAP_IN_HOLES} hole widths away (common practice)"
                ),
            )),
        }
    }
}

fn doubt(code: &'static str, message: &str, advice: &str) -> Warning {
    Warning {
        code: code.into(),
        message: message.to_owned(),
        advice: advice.to_owned(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    use crate::fabric::{Band, Knit, Layers, Lie, MeshMaterial, NYLON_DENSITY, Woven};

    fn fabric(kind: Option<FabricKind>) -> Fabric {
        Fabric {
            name: "panel".to_owned(),
            kind,
            layers: Layers {
                count: 1,
                lie: Lie::Spaced,
            },
            bench: None,
        }
    }

    /// A mesh that is open by 0.5625, of threads so thick.
    fn mesh(thread: f64) -> FabricKind {
        FabricKind::Woven(Woven {
            material: MeshMaterial::Metal,
            thread,
            opening: 3.0 * thread,
            density: 7900.0,
        })
    }

    fn read(residual: Option<f64>) -> FabricLaw {
        FabricLaw {
            viscous: 1.0,
            inertial: 1.0,
            velocities: (0.5, 2.0),
            band: Band::EXACT,
            source: Source::Bench {
                reading_count: 4,
                residual,
            },
        }
    }

    /// Codes of the doubts about a law at an air speed, m/s.
    fn codes(fabric: &Fabric, law: &FabricLaw, velocity: f64) -> Vec<String> {
        let air = Air::new(20.0, 101_325.0, None).unwrap();
        let doubts = fabric.doubts(law, velocity, &air);
        doubts.iter().map(|doubt| doubt.code.to_string()).collect()
    }

    #[test]
    fn readings_that_scatter_by_more_than_15_per_cent_are_doubted() {
        let fabric = fabric(None);
        assert!(codes(&fabric, &read(None), 1.0).is_empty());
        assert!(codes(&fabric, &read(Some(0.149)), 1.0).is_empty());
        assert_eq!(
            codes(&fabric, &read(Some(0.151)), 1.0),
            ["fabric-readings-scatter"]
        );
        // 3 m/s is more than a fifth beyond the last reading.
        assert_eq!(codes(&fabric, &read(None), 3.0), ["fabric-beyond-readings"]);
    }

    #[test]
    fn screens_are_doubted_outside_of_their_formula() {
        let air = Air::new(20.0, 101_325.0, None).unwrap();
        let reason = |kind: FabricKind, reynolds: f64| {
            let thread = kind.thread().unwrap();
            let velocity = reynolds * air.kinematic_viscosity / thread;
            formula_doubt(&kind, velocity, &air).map(|doubt| doubt.message)
        };
        // The table of round wires begins at 20 and ends at 400.
        assert!(reason(mesh(1e-3), 19.0).unwrap().contains("starts at 20"));
        assert_eq!(reason(mesh(1e-3), 21.0), None);
        assert_eq!(reason(mesh(1e-3), 399.0), None);
        assert!(reason(mesh(1e-3), 401.0).unwrap().contains("ends at 400"));
        // Openings a third of the thread: (1/4)² = 6 % open.
        let shut = FabricKind::Woven(Woven {
            material: MeshMaterial::Metal,
            thread: 3e-3,
            opening: 1e-3,
            density: 7900.0,
        });
        assert!(reason(shut, 100.0).unwrap().contains("open area is 6 %"));
    }

    #[test]
    fn yarn_is_told_to_be_a_guess() {
        let yarn = FabricKind::Knit(Knit {
            denier: 15.0,
            filament_count: 5,
            pitch_across: 0.5e-3,
            pitch_along: 0.5e-3,
            stretch_across: 1.0,
            stretch_along: 1.0,
            density: NYLON_DENSITY,
        });
        let law = yarn.law(&Air::new(20.0, 101_325.0, None).unwrap());
        let seen = codes(&fabric(Some(yarn)), &law, 1.0);
        assert_eq!(seen, ["fabric-guess", "fabric-outside-formula"]);
    }

    #[test]
    fn a_fabric_close_to_the_holes_is_told_of() {
        assert!(Contact::Spaced.caution().is_none());
        for contact in [Contact::Near, Contact::Pressed] {
            assert_eq!(contact.caution().unwrap().code, "fabric-near-holes");
        }
        // 16 Pa over 0.1 m at 10 N/m: p D² / (16 T) = 1 mm.
        assert!(sag_caution(16.0, 0.1).message.contains("1.0 mm across"));
    }
}
