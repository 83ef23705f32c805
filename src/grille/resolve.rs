//! From the drawing to the numbers that follow from it.

use std::f64::consts::PI;

use crate::grille::{CutOut, Grille, GrilleError, GrilleWarning, MIN_RIB, ZoneGeometry};

/// Numbers of a whole grille.
#[derive(Debug, Clone, PartialEq)]
pub struct GrilleGeometry {
    /// Number of openings in their places; each piece of a cut hole counts.
    pub hole_count: usize,
    /// Open area as placed, m².
    pub open_area: f64,
    /// Area of all zones between border and centre disc, m².
    pub zone_area: f64,
    /// Free-area ratio of the endless patterns, 0 to 1; mean over the zones by area.
    pub pattern_free_area_ratio: f64,
    /// Open area as placed ÷ area of the zones, 0 to 1.
    pub zone_free_area_ratio: f64,
    /// Area of the cut-out, m².
    pub cut_out_area: f64,
    /// Open area as placed ÷ area of the cut-out, 0 to 1.
    pub cut_out_free_area_ratio: f64,
    /// Area of the cut-out less the hub, m².
    pub annulus_area: f64,
    /// Open area as placed, holes in front of the hub included, ÷ area of the cut-out less the hub; may exceed 1 with a large hub.
    pub annulus_free_area_ratio: f64,
    /// Volume of the plate in the cut-out, m³.
    pub plastic_volume: f64,
    /// The zones, from the inside out.
    pub zones: Vec<ZoneGeometry>,
    /// Doubts about the print.
    pub warnings: Vec<GrilleWarning>,
}

impl Grille {
    /// Places the holes and gives all numbers that follow from the drawing; `fan_hub_diameter` in m, 0 without hub.
    ///
    /// # Errors
    /// All faults of the drawing at once: see [`GrilleError`].
    ///
    /// # Examples
    /// ```
    /// use ventwright::grille::{
    ///     CrossingHoles, CutOut, Edge, Grille, HolePattern, HoleShape, Layout, Pattern, Turn, Zone,
    /// };
    /// let grille = Grille {
    ///     name: "four squares".to_owned(),
    ///     cut_out: CutOut::Bore { diameter: 0.04 },
    ///     thickness: 0.003,
    ///     border: 0.002,
    ///     centre_disc_diameter: 0.0,
    ///     crossing_holes: CrossingHoles::Drop,
    ///     front_edge: Edge::Sharp,
    ///     back_edge: Edge::Sharp,
    ///     zones: vec![Zone {
    ///         inner_radius: 0.0,
    ///         outer_radius: 0.018,
    ///         pattern: Pattern::Holes(HolePattern {
    ///             shape: HoleShape::Square { side: 0.008 },
    ///             layout: Layout::Square,
    ///             rib: 0.002,
    ///             turn: Turn::Straight,
    ///             merging_accepted: false,
    ///         }),
    ///     }],
    /// };
    /// let geometry = grille.resolve(0.0).unwrap();
    /// assert_eq!(geometry.hole_count, 5); // one in the middle and its four neighbours: the corners reach 14.6 mm
    /// assert!((geometry.open_area - 5.0 * 0.008 * 0.008).abs() < 1e-12);
    /// ```
    pub fn resolve(&self, fan_hub_diameter: f64) -> Result<GrilleGeometry, Vec<GrilleError>> {
        let mut errors = self.faults();
        if fan_hub_diameter.is_nan() || fan_hub_diameter < 0.0 {
            errors.push(GrilleError::LengthOutOfRange {
                quantity: "the hub's diameter",
                zone: None,
                value: fan_hub_diameter,
                min: 0.0,
                max: 2.0 * self.cut_out.reach(),
            });
        }
        match self.cut_out {
            CutOut::Bore { diameter } if fan_hub_diameter >= diameter => {
                errors.push(GrilleError::HubFillsBore {
                    hub_diameter: fan_hub_diameter,
                    bore_diameter: diameter,
                });
            }
            CutOut::Vent { .. } if fan_hub_diameter > 0.0 => {
                errors.push(GrilleError::NeedsBore {
                    what: "a fan's hub",
                });
            }
            CutOut::Bore { .. } | CutOut::Vent { .. } => {}
        }
        if !errors.is_empty() {
            return Err(errors);
        }
        let mut zones = Vec::new();
        let mut perimeters = Vec::new();
        let mut warnings = self.gap_warnings();
        for (index, zone) in self.zones.iter().enumerate() {
            match self.resolve_zone(index + 1, zone) {
                Ok(resolved) => {
                    zones.push(resolved.geometry);
                    perimeters.extend(resolved.perimeters);
                    warnings.extend(resolved.warnings);
                }
                Err(error) => errors.push(error),
            }
        }
        if !errors.is_empty() {
            return Err(errors);
        }
        let open_area: f64 = zones.iter().map(|zone| zone.open_area).sum();
        let zone_area: f64 = zones.iter().map(|zone| zone.zone_area).sum();
        let pattern_open: f64 = zones
            .iter()
            .map(|zone| zone.pattern_free_area_ratio * zone.zone_area)
            .sum();
        let cut_out_area = self.cut_out.area();
        let annulus_area = cut_out_area - PI * fan_hub_diameter * fan_hub_diameter / 4.0;
        Ok(GrilleGeometry {
            hole_count: zones.iter().map(|zone| zone.hole_count).sum(),
            open_area,
            zone_area,
            pattern_free_area_ratio: pattern_open / zone_area,
            zone_free_area_ratio: open_area / zone_area,
            cut_out_area,
            cut_out_free_area_ratio: open_area / cut_out_area,
            annulus_area,
            annulus_free_area_ratio: open_area / annulus_area,
            plastic_volume: self.plastic_volume(open_area, &perimeters),
            zones,
            warnings,
        })
    }

    fn gap_warnings(&self) -> Vec<GrilleWarning> {
        let pairs = self.zones.iter().zip(self.zones.iter().skip(1)).enumerate();
        pairs
            .map(|(index, (inner, outer))| {
                (index + 2, self.ring(outer).inner - self.ring(inner).outer)
            })
            .filter(|&(_, gap)| gap < MIN_RIB)
            .map(|(zone, gap)| GrilleWarning::ThinWallBetweenZones { zone, gap })
            .collect()
    }
}
