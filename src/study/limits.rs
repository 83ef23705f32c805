//! What each number of the study file may be. Every range stands here and nowhere else.
//!
//! The ranges keep out slips of the pen (metres for millimetres), not unusual designs.

/// Range of one key, in the unit of the key, and what to do outside it.
#[derive(Debug, Clone, Copy)]
pub(super) struct Limits {
    pub(super) low: f64,
    pub(super) high: f64,
    /// Unit with a space before it, for the message.
    pub(super) unit: &'static str,
    pub(super) hint: &'static str,
}

impl Limits {
    /// Whether the number lies in the range, ends included; NaN does not.
    pub(super) fn includes(&self, number: f64) -> bool {
        (self.low..=self.high).contains(&number)
    }
}

const fn limits(low: f64, high: f64, unit: &'static str, hint: &'static str) -> Limits {
    Limits {
        low,
        high,
        unit,
        hint,
    }
}

/// Most grilles in a study, series included.
pub(super) const MOST_GRILLES: usize = 200;

pub(super) const TEMPERATURE_C: Limits = limits(
    -40.0,
    80.0,
    " °C",
    "give the room's temperature in °C, such as temperature_c = 22",
);
pub(super) const PRESSURE_HPA: Limits = limits(
    450.0,
    1200.0,
    " hPa",
    "give the air pressure in hPa as a weather station does, such as 1013.25",
);
pub(super) const ALTITUDE_M: Limits =
    limits(-500.0, 5000.0, " m", "give the height above the sea in m");

pub(super) const BORE_MM: Limits = limits(
    10.0,
    1000.0,
    " mm",
    "give the diameter of the opening in which the fan runs, in mm, such as bore_mm = 135; for a rectangular vent add [vent]",
);
pub(super) const HUB_MM: Limits = limits(
    0.0,
    900.0,
    " mm",
    "give the diameter of the solid middle of the fan in mm, such as hub_mm = 42; 0 if there is no fan",
);
pub(super) const VENT_MM: Limits = limits(
    5.0,
    2000.0,
    " mm",
    "give both sides of the rectangular opening in mm, such as width_mm = 80 and height_mm = 40",
);
pub(super) const FLOW_M3_PER_H: Limits = limits(
    0.0,
    36_000.0,
    " m3/h",
    "give the flow in m3/h; for CFM use the key that ends in _cfm",
);
pub(super) const FLOW_CFM: Limits = limits(
    0.0,
    20_000.0,
    " CFM",
    "give the flow in CFM; for m3/h use the key that ends in _m3_per_h",
);
pub(super) const POSITIVE_FLOW_M3_PER_H: Limits = limits(
    0.1,
    36_000.0,
    " m3/h",
    "give the flow in m3/h; for CFM use the key that ends in _cfm",
);
pub(super) const POSITIVE_FLOW_CFM: Limits = limits(
    0.1,
    20_000.0,
    " CFM",
    "give the flow in CFM; for m3/h use the key that ends in _m3_per_h",
);
pub(super) const POINT_PRESSURE_PA: Limits = limits(
    0.0,
    10_000.0,
    " Pa",
    "give the static pressure in Pa; for mmH2O use pressure_mmh2o",
);
pub(super) const POINT_PRESSURE_MMH2O: Limits = limits(
    0.0,
    1000.0,
    " mmH2O",
    "give the static pressure in mmH2O; for Pa use pressure_pa",
);
pub(super) const SHUT_OFF_PA: Limits = limits(
    0.1,
    10_000.0,
    " Pa",
    "give the pressure at no flow in Pa; for mmH2O use shut_off_pressure_mmh2o",
);
pub(super) const SHUT_OFF_MMH2O: Limits = limits(
    0.02,
    1000.0,
    " mmH2O",
    "give the pressure at no flow in mmH2O; for Pa use shut_off_pressure_pa",
);
pub(super) const SPEED_RPM: Limits = limits(
    10.0,
    100_000.0,
    " rpm",
    "give the speed in rpm at which the curve was measured",
);
pub(super) const RUNNING_RPM: Limits = limits(
    10.0,
    100_000.0,
    " rpm",
    "give the speed in rpm at which the fan runs in your PC case",
);

/// Largest ratio between the speed at which a fan runs and that at which its figures hold: beyond it fan laws are a guess.
pub(super) const MOST_SPEED_RATIO: f64 = 3.0;

pub(super) const BLADES: Limits = limits(
    1.0,
    100.0,
    "",
    "count the blades of the fan, or leave the key out",
);
pub(super) const SWIRL_DEG: Limits = limits(
    0.0,
    60.0,
    " degrees",
    "give the angle between the air behind the fan and the fan's axis, positive with its rotation; or leave the key out",
);

pub(super) const HYDRAULIC_EFFICIENCY: Limits = limits(
    0.2,
    1.0,
    "",
    "give the fraction of the blades' work that becomes total pressure, 0.5 to 0.7 for small fans; or leave the key out",
);
pub(super) const EXIT_RADIUS_MM: Limits = limits(
    0.0,
    500.0,
    " mm",
    "give the distance from the fan's axis in mm, between half of hub_mm and half of bore_mm",
);
pub(super) const RELATIVE_VELOCITY: Limits = limits(
    0.0,
    1000.0,
    "",
    "give the air speed along the axis in any unit that all points share",
);
pub(super) const HEAD_DIAMETER_MM: Limits = limits(
    5.0,
    500.0,
    " mm",
    "give the diameter of the meter's wheel in mm, such as head_diameter_mm = 66",
);
pub(super) const METER_POSITION_MM: Limits = limits(
    0.0,
    500.0,
    " mm",
    "give the distance of the meter's axis from the fan's axis in mm; 0 is the middle",
);
pub(super) const METER_DISTANCE_MM: Limits = limits(
    0.0,
    5000.0,
    " mm",
    "give the distance of the wheel behind the outside of the grille in mm",
);
pub(super) const BLADE_GAP_MM: Limits = limits(
    0.0,
    500.0,
    " mm",
    "give the distance from the fan's blades to the grille in mm",
);
pub(super) const BLADE_ANGLE_DEG: Limits = limits(
    10.0,
    80.0,
    " degrees",
    "give the angle between the wheel's blades and its axis in degrees; 45 if you do not know",
);

pub(super) const PC_CASE_K: Limits = limits(
    0.0,
    1000.0,
    "",
    "0 is a fan on an open bench, 1 to 5 a usual PC case",
);
pub(super) const PATH_PRESSURE_PA: Limits = limits(
    0.0,
    10_000.0,
    " Pa",
    "give the pressure drop at that flow in Pa; for mmH2O use pressure_mmh2o",
);
pub(super) const PATH_PRESSURE_MMH2O: Limits = limits(
    0.0,
    1000.0,
    " mmH2O",
    "give the pressure drop at that flow in mmH2O; for Pa use pressure_pa",
);
pub(super) const FANS: Limits = limits(
    1.0,
    100.0,
    "",
    "count the identical fans that work side by side in this PC case, this one included",
);
pub(super) const LEAK_CM2: Limits = limits(
    0.0,
    10_000.0,
    " cm2",
    "add up the gaps through which air bypasses the openings of the PC case; 0 leaves them out",
);
pub(super) const PANEL_K: Limits = limits(
    0.0,
    10_000.0,
    "",
    "give the loss coefficient on the panel's own area",
);
pub(super) const PANEL_AREA_CM2: Limits = limits(
    0.1,
    1e6,
    " cm2",
    "give the area of the panel that the air of one fan goes through",
);
pub(super) const GAP_MM: Limits = limits(
    0.0,
    1000.0,
    " mm",
    "give the gap between panel and grille; 0 means that it lies on the holes",
);
pub(super) const HEAT_LOAD_W: Limits = limits(
    0.0,
    100_000.0,
    " W",
    "give the heat that this air carries away, in W; 0 leaves it out",
);

pub(super) const THICKNESS_MM: Limits = limits(
    0.2,
    100.0,
    " mm",
    "give the thickness of the plate in mm, such as thickness_mm = 4",
);
pub(super) const BORDER_MM: Limits = limits(
    0.0,
    500.0,
    " mm",
    "give the width of the solid ring at the bore's edge in mm; 0 if there is none",
);
pub(super) const CENTRE_DISC_MM: Limits = limits(
    0.0,
    1000.0,
    " mm",
    "give the diameter of the solid disc in mm; 0 if there is none",
);
pub(super) const EDGE_MM: Limits = limits(
    0.0,
    20.0,
    " mm",
    "give the radius or the depth of the edge in mm, or write { sharp = true }",
);
pub(super) const ZONE_MM: Limits = limits(
    0.0,
    1000.0,
    " mm",
    "give the diameter at which the zone starts or ends, in mm",
);

pub(super) const HOLE_MM: Limits = limits(
    0.3,
    500.0,
    " mm",
    "give the size of a hole in mm; describe finer openings as a fabric",
);
/// So that sides and flats that follow from it lie in the range of [`HOLE_MM`].
pub(super) const ACROSS_CORNERS_MM: Limits = limits(
    0.45,
    500.0,
    " mm",
    "give the diameter of the circle through the corners in mm; describe finer openings as a fabric",
);
pub(super) const RIB_MM: Limits = limits(
    0.2,
    100.0,
    " mm",
    "give the least wall between neighbouring holes in mm, such as rib_mm = 1.2",
);
pub(super) const BAR_WIDTH_MM: Limits = limits(
    0.2,
    100.0,
    " mm",
    "give the width of a bar in mm, such as bar_width_mm = 2",
);
pub(super) const RING_BAR_COUNT: Limits = limits(
    0.0,
    360.0,
    "",
    "count the radial bars that hold the rings; 0 if there are none",
);
pub(super) const BAR_COUNT: Limits = limits(1.0, 360.0, "", "count the radial bars");
pub(super) const TWIST_DEG: Limits = limits(
    -180.0,
    180.0,
    " degrees",
    "give the angle from one face to the other in degrees; negative is left-handed along the flow",
);
pub(super) const LEAN_DEG: Limits = limits(
    -70.0,
    70.0,
    " degrees",
    "give the angle between the hole's axis and the fan's axis in degrees",
);
pub(super) const PATTERN_TWIST_DEG: Limits = limits(
    -90.0,
    90.0,
    " degrees",
    "give the angle by which the whole pattern turns from face to face, in degrees",
);

pub(super) const LAYERS: Limits = limits(1.0, 10.0, "", "count the layers of the fabric");
pub(super) const DENIER: Limits = limits(
    0.5,
    2000.0,
    " denier",
    "give the denier of the whole thread, as on the packet of a stocking, such as denier = 15",
);
pub(super) const FILAMENTS: Limits = limits(
    1.0,
    1000.0,
    "",
    "count the filaments of the thread: 1 for a single one, as 15 denier hosiery mostly has, more for a yarn",
);
pub(super) const KNIT_PITCH_MM: Limits = limits(
    0.1,
    20.0,
    " mm",
    "give the distance from stitch to stitch in mm, unstretched, such as 0.5; or count openings over 10 mm with a ruler",
);
pub(super) const OPENINGS_PER_10_MM: Limits = limits(
    0.5,
    100.0,
    "",
    "count the openings over 10 mm with a ruler, unstretched, such as 20",
);
pub(super) const STRETCH_PERCENT: Limits = limits(
    -50.0,
    500.0,
    " %",
    "give the stretch in per cent from where the pitch was counted: 60 for 1.6 times as long, 0 for unstretched",
);
pub(super) const MARK_MM: Limits = limits(
    1.0,
    1000.0,
    " mm",
    "give the distance between two pen marks on the fabric in mm",
);
pub(super) const DENSITY: Limits = limits(
    300.0,
    25_000.0,
    " kg/m3",
    "give the density of the material in kg/m3: 1140 for nylon, 7900 for steel; or leave the key out",
);
pub(super) const THREAD_UM: Limits = limits(
    5.0,
    3000.0,
    " um",
    "give the diameter of the thread in thousandths of a millimetre, such as thread_um = 60",
);
pub(super) const OPENING_UM: Limits = limits(
    5.0,
    10_000.0,
    " um",
    "give the clear opening between threads in thousandths of a millimetre, such as opening_um = 120",
);
pub(super) const WIRE_MM: Limits = limits(
    0.01,
    5.0,
    " mm",
    "give the diameter of the wire in mm, such as wire_mm = 0.22",
);
pub(super) const OPENING_MM: Limits = limits(
    0.01,
    50.0,
    " mm",
    "give the clear opening in mm, or the distance from wire to wire with pitch_mm",
);
pub(super) const SHEET_HOLE_MM: Limits = limits(
    0.05,
    50.0,
    " mm",
    "give the diameter of the holes in mm, such as hole_mm = 0.8",
);
pub(super) const SHEET_PITCH_MM: Limits = limits(
    0.06,
    100.0,
    " mm",
    "give the distance between the centres of neighbouring holes in mm, such as pitch_mm = 1.3",
);
pub(super) const SHEET_THICKNESS_MM: Limits = limits(
    0.02,
    10.0,
    " mm",
    "give the thickness of the sheet in mm, such as thickness_mm = 0.4",
);
pub(super) const READING_VELOCITY: Limits = limits(
    0.01,
    30.0,
    " m/s",
    "give the mean air speed ahead of the fabric in m/s: flow over its area",
);
pub(super) const READING_PRESSURE: Limits = limits(
    0.001,
    10_000.0,
    " Pa",
    "give the pressure drop across the fabric in Pa, upstream minus downstream",
);
pub(super) const PERCENT_OF_BARE_FAN: Limits = limits(
    1.0,
    99.9,
    " %",
    "give the flow with the fabric in per cent of that without it: same fan, same rig, same speed",
);
pub(super) const BENCH_AREA_CM2: Limits = limits(
    0.1,
    100_000.0,
    " cm2",
    "give the area of fabric that the air went through on the bench, in cm2",
);
pub(super) const ACCURACY_PERCENT: Limits = limits(
    0.1,
    50.0,
    " %",
    "give the accuracy of the meters in per cent; 10 if you do not know",
);
/// Least open share of a knit that is worth calling one.
pub(super) const LEAST_OPEN_FRACTION: f64 = 0.02;
pub(super) const THREADS: Limits = limits(
    0.0,
    1024.0,
    "",
    "give a number of threads; 0 uses all processors",
);
pub(super) const RANGE_END: Limits = limits(
    -1e6,
    1e6,
    "",
    "write a range as { from = 0.8, to = 1.6, step = 0.2 } or { from = 0.8, to = 1.6, count = 5 }",
);
pub(super) const RANGE_COUNT: Limits = limits(
    2.0,
    MOST_GRILLES as f64,
    "",
    "give how many values the range holds, both ends included",
);
pub(super) const MEMORY_GB: Limits = limits(
    0.0,
    4096.0,
    " GB",
    "give the memory that all runs together may use; 0 allows three quarters of what is free",
);
pub(super) const TOLERANCE_PERCENT: Limits = limits(
    0.05,
    20.0,
    " %",
    "1 % of K is a good choice; half of that takes about four times as long",
);
pub(super) const TIME_LIMIT_MIN: Limits = limits(
    0.05,
    20_160.0,
    " minutes",
    "give minutes; the maximum is two weeks",
);
pub(super) const CHECKPOINT_MIN: Limits = limits(
    0.0,
    1440.0,
    " minutes",
    "give the minutes of work that a power cut may cost; 0 keeps no unfinished runs",
);
pub(super) const FRAMES: Limits = limits(
    0.0,
    2000.0,
    "",
    "give how many moments of each film to keep as files for an external viewer; 0 keeps none",
);
pub(super) const FILM_SECONDS: Limits = limits(
    1.0,
    20.0,
    " s",
    "give how long a film lasts on the screen, in s, such as 5",
);
pub(super) const RAKE_MM: Limits = limits(
    -500.0,
    500.0,
    " mm",
    "give a position in mm: x_mm along the flow from the face that the air meets first, from_mm and to_mm across it",
);
pub(super) const SMOKE_THREADS: Limits = limits(
    1.0,
    60.0,
    "",
    "give a number of threads of smoke, such as 13",
);
pub(super) const TIME_BUDGET_H: Limits = limits(
    0.01,
    336.0,
    " hours",
    "give hours, 8 for a night; the maximum is two weeks",
);
