//! Mirror of the study file: raw values with their places, every key optional, nothing checked.
//!
//! Each table refuses keys that it does not know; that and a wrong type are all that is found here.
//! What the keys mean and what they may be stands in the files named `..._table.rs`.

use serde::Deserialize;
use toml::Spanned;

use crate::study::series_file::SeriesTable;

/// A number with its place.
pub(super) type Number = Option<Spanned<f64>>;

/// A whole number with its place.
pub(super) type Count = Option<Spanned<i64>>;

/// A word or a name with its place.
pub(super) type Word = Option<Spanned<String>>;

/// The whole file.
#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct StudyFile {
    pub(super) format: Count,
    pub(super) study: Option<Spanned<StudyTable>>,
    pub(super) air: Option<Spanned<AirTable>>,
    pub(super) fan: Option<Spanned<FanTable>>,
    pub(super) vent: Option<Spanned<VentTable>>,
    pub(super) place: Option<Spanned<PlaceTable>>,
    pub(super) meter: Option<Spanned<MeterTable>>,
    pub(super) fan_view: Option<Spanned<FanViewTable>>,
    #[serde(default)]
    pub(super) other_fans: Vec<Spanned<OtherFansTable>>,
    #[serde(default)]
    pub(super) panel: Vec<Spanned<PanelTable>>,
    #[serde(default)]
    pub(super) fabric: Vec<Spanned<FabricTable>>,
    #[serde(default)]
    pub(super) grille: Vec<Spanned<GrilleTable>>,
    #[serde(default)]
    pub(super) series: Vec<Spanned<SeriesTable>>,
    pub(super) smoke: Option<Spanned<SmokeTable>>,
    pub(super) run: Option<Spanned<RunTable>>,
}

/// `[study]`
#[derive(Debug, Clone, Default, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct StudyTable {
    pub(super) name: Word,
    pub(super) notes: Word,
    pub(super) flow_unit: Word,
    pub(super) pressure_unit: Word,
}

/// `[air]`
#[derive(Debug, Clone, Default, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct AirTable {
    pub(super) temperature_c: Number,
    pub(super) pressure_hpa: Number,
    pub(super) altitude_m: Number,
}

/// The keys that say what a fan delivers, of whichever table they stand in.
#[derive(Debug, Clone, Copy)]
pub(super) struct DeliveryKeys<'a> {
    pub(super) curve: &'a Word,
    pub(super) points: &'a Option<Spanned<Vec<Spanned<PointTable>>>>,
    pub(super) free_flow_m3_per_h: &'a Number,
    pub(super) free_flow_cfm: &'a Number,
    pub(super) shut_off_pressure_pa: &'a Number,
    pub(super) shut_off_pressure_mmh2o: &'a Number,
}

/// A table of a fan: its own keys, and those that say what it delivers.
///
/// A macro, because a flattened struct would lose the places of its values.
macro_rules! table_of_a_fan {
    ($(#[$doc:meta])* $name:ident { $($key:ident: $kind:ty,)* }) => {
        $(#[$doc])*
        #[derive(Debug, Clone, Default, Deserialize)]
        #[serde(deny_unknown_fields)]
        pub(super) struct $name {
            $(pub(super) $key: $kind,)*
            curve: Word,
            points: Option<Spanned<Vec<Spanned<PointTable>>>>,
            free_flow_m3_per_h: Number,
            free_flow_cfm: Number,
            shut_off_pressure_pa: Number,
            shut_off_pressure_mmh2o: Number,
        }

        impl $name {
            /// What it says of the air that the fan delivers.
            pub(super) fn delivery(&self) -> DeliveryKeys<'_> {
                DeliveryKeys {
                    curve: &self.curve,
                    points: &self.points,
                    free_flow_m3_per_h: &self.free_flow_m3_per_h,
                    free_flow_cfm: &self.free_flow_cfm,
                    shut_off_pressure_pa: &self.shut_off_pressure_pa,
                    shut_off_pressure_mmh2o: &self.shut_off_pressure_mmh2o,
                }
            }
        }
    };
}

table_of_a_fan! {
    /// `[fan]`
    FanTable {
        name: Word,
        bore_mm: Number,
        hub_mm: Number,
        given_flow_m3_per_h: Number,
        given_flow_cfm: Number,
        speed_rpm: Number,
        running_rpm: Number,
        blades: Count,
        swirl_deg: Number,
        hydraulic_efficiency: Number,
        exit_profile: Word,
        exit: Option<Spanned<Vec<Spanned<ExitPointTable>>>>,
    }
}

table_of_a_fan! {
    /// `[[other_fans]]`
    OtherFansTable {
        side: Word,
        fans: Count,
        way_point: Option<Spanned<PointTable>>,
    }
}

/// One point of a fan curve: `{ flow_m3_per_h = 40, pressure_pa = 18 }`
#[derive(Debug, Clone, Default, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct PointTable {
    pub(super) flow_m3_per_h: Number,
    pub(super) flow_cfm: Number,
    pub(super) pressure_pa: Number,
    pub(super) pressure_mmh2o: Number,
}

/// One point of an exit profile: `{ radius_mm = 40, relative_velocity = 1.2 }`
#[derive(Debug, Clone, Default, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct ExitPointTable {
    pub(super) radius_mm: Number,
    pub(super) relative_velocity: Number,
}

/// `[vent]`
#[derive(Debug, Clone, Default, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct VentTable {
    pub(super) width_mm: Number,
    pub(super) height_mm: Number,
}

/// `[place]`
#[derive(Debug, Clone, Default, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct PlaceTable {
    pub(super) side: Word,
    pub(super) reference_area: Word,
    pub(super) pc_case_k: Number,
    pub(super) pc_case_point: Option<Spanned<PointTable>>,
    pub(super) rig_k: Number,
    pub(super) rig_point: Option<Spanned<PointTable>>,
    pub(super) fans: Count,
    pub(super) leak_cm2: Number,
    pub(super) heat_load_w: Number,
    pub(super) gap_mm: Number,
}

/// `[[panel]]`
#[derive(Debug, Clone, Default, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct PanelTable {
    pub(super) name: Word,
    pub(super) k: Number,
    pub(super) point: Option<Spanned<PointTable>>,
    pub(super) fabric: Word,
    pub(super) grille: Word,
    pub(super) area_cm2: Number,
    pub(super) gap_mm: Number,
}

/// `[meter]`
#[derive(Debug, Clone, Default, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct MeterTable {
    pub(super) head_diameter_mm: Number,
    pub(super) position_mm: Number,
    pub(super) distance_mm: Number,
    pub(super) blade_angle_deg: Number,
    pub(super) hand: Word,
}

/// `[[fabric]]`
#[derive(Debug, Clone, Default, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct FabricTable {
    pub(super) name: Word,
    pub(super) layers: Count,
    pub(super) layers_lie: Word,
    pub(super) readings: Option<Spanned<Vec<Spanned<ReadingTable>>>>,
    pub(super) bench_area_cm2: Number,
    pub(super) accuracy_percent: Number,
    pub(super) knit: Option<Spanned<KnitTable>>,
    pub(super) woven: Option<Spanned<WovenTable>>,
    pub(super) mesh: Option<Spanned<MeshTable>>,
    pub(super) sheet: Option<Spanned<SheetTable>>,
}

/// One reading of a bench: `{ velocity_m_per_s = 1.2, pressure_pa = 3.4 }`
#[derive(Debug, Clone, Default, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct ReadingTable {
    pub(super) velocity_m_per_s: Number,
    pub(super) flow_m3_per_h: Number,
    pub(super) percent_of_bare_fan: Number,
    pub(super) pressure_pa: Number,
}

/// `[fabric.knit]`
#[derive(Debug, Clone, Default, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct KnitTable {
    pub(super) same_as: Word,
    pub(super) denier: Number,
    pub(super) filaments: Count,
    pub(super) pitch_across_mm: Number,
    pub(super) pitch_along_mm: Number,
    pub(super) openings_across_per_10_mm: Number,
    pub(super) openings_along_per_10_mm: Number,
    pub(super) stretch_across_percent: Number,
    pub(super) stretch_along_percent: Number,
    pub(super) marks_across: Option<Spanned<MarksTable>>,
    pub(super) marks_along: Option<Spanned<MarksTable>>,
    pub(super) density_kg_per_m3: Number,
}

/// Distance of two pen marks: `{ before_mm = 50, after_mm = 80 }`
#[derive(Debug, Clone, Default, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct MarksTable {
    pub(super) before_mm: Number,
    pub(super) after_mm: Number,
}

/// `[fabric.woven]`
#[derive(Debug, Clone, Default, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct WovenTable {
    pub(super) thread_um: Number,
    pub(super) opening_um: Number,
    pub(super) density_kg_per_m3: Number,
}

/// `[fabric.mesh]`
#[derive(Debug, Clone, Default, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct MeshTable {
    pub(super) wire_mm: Number,
    pub(super) opening_mm: Number,
    pub(super) pitch_mm: Number,
    pub(super) density_kg_per_m3: Number,
}

/// `[fabric.sheet]`
#[derive(Debug, Clone, Default, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct SheetTable {
    pub(super) hole_mm: Number,
    pub(super) pitch_mm: Number,
    pub(super) thickness_mm: Number,
    pub(super) layout: Word,
    pub(super) density_kg_per_m3: Number,
}

/// `[fan_view]`
#[derive(Debug, Clone, Default, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct FanViewTable {
    pub(super) solve: Option<Spanned<bool>>,
    pub(super) behind: Word,
}

/// `[[grille]]`
#[derive(Debug, Clone, Default, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct GrilleTable {
    pub(super) name: Word,
    pub(super) thickness_mm: Number,
    pub(super) border_mm: Number,
    pub(super) centre_disc_mm: Number,
    pub(super) crossing_holes: Word,
    pub(super) front_edge: Option<Spanned<EdgeTable>>,
    pub(super) back_edge: Option<Spanned<EdgeTable>>,
    pub(super) holes: Option<Spanned<HolesTable>>,
    pub(super) rings: Option<Spanned<RingsTable>>,
    pub(super) bars: Option<Spanned<BarsTable>>,
    #[serde(default)]
    pub(super) zone: Vec<Spanned<ZoneTable>>,
}

/// `front_edge = { radius_mm = 0.5 }`
#[derive(Debug, Clone, Default, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct EdgeTable {
    pub(super) sharp: Option<Spanned<bool>>,
    pub(super) radius_mm: Number,
    pub(super) chamfer_mm: Number,
}

/// `[[grille.zone]]`
#[derive(Debug, Clone, Default, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct ZoneTable {
    pub(super) inner_diameter_mm: Number,
    pub(super) outer_diameter_mm: Number,
    pub(super) holes: Option<Spanned<HolesTable>>,
    pub(super) rings: Option<Spanned<RingsTable>>,
    pub(super) bars: Option<Spanned<BarsTable>>,
}

/// `[grille.holes]`
#[derive(Debug, Clone, Default, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct HolesTable {
    pub(super) shape: Word,
    pub(super) diameter_mm: Number,
    pub(super) side_mm: Number,
    pub(super) across_flats_mm: Number,
    pub(super) across_corners_mm: Number,
    pub(super) width_mm: Number,
    pub(super) length_mm: Number,
    pub(super) layout: Word,
    pub(super) rib_mm: Number,
    pub(super) twist_deg: Number,
    pub(super) twist_from: Word,
    pub(super) twist_hands: Word,
    pub(super) lean_deg: Number,
    pub(super) pattern_twist_deg: Number,
    pub(super) merging: Word,
}

/// `[grille.rings]`
#[derive(Debug, Clone, Default, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct RingsTable {
    pub(super) slot_width_mm: Number,
    pub(super) rib_mm: Number,
    pub(super) bar_count: Count,
    pub(super) bar_width_mm: Number,
    pub(super) lean_deg: Number,
    pub(super) pattern_twist_deg: Number,
}

/// `[grille.bars]`
#[derive(Debug, Clone, Default, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct BarsTable {
    pub(super) bar_count: Count,
    pub(super) bar_width_mm: Number,
    pub(super) lean_deg: Number,
    pub(super) pattern_twist_deg: Number,
}

/// `[smoke]`
#[derive(Debug, Clone, Default, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct SmokeTable {
    pub(super) seconds: Number,
    pub(super) views: Option<Spanned<Vec<Spanned<String>>>>,
    #[serde(default)]
    pub(super) rake: Vec<Spanned<RakeTable>>,
}

/// `[[smoke.rake]]`
#[derive(Debug, Clone, Default, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct RakeTable {
    pub(super) view: Word,
    pub(super) x_mm: Number,
    pub(super) from_mm: Number,
    pub(super) to_mm: Number,
    pub(super) threads: Count,
}

/// `[run]`
#[derive(Debug, Clone, Default, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct RunTable {
    pub(super) quality: Word,
    pub(super) threads: Count,
    pub(super) memory_gb: Number,
    pub(super) tolerance_percent: Number,
    pub(super) time_limit_per_run_min: Number,
    pub(super) time_limit_min: Number,
    pub(super) checkpoint_min: Number,
    pub(super) frames: Count,
    pub(super) time_budget_h: Number,
    pub(super) ready_by: Word,
}
