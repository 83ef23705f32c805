//! What the camera sees of a film, and how its time goes by.

/// Frames per second of a film on the screen: a frame every seven hundredths, the unit of animated files.
const FRAMES_PER_SECOND: f64 = 100.0 / FRAME_TIME as f64;

/// Time of a frame on the screen, hundredths of a second.
pub(super) const FRAME_TIME: u16 = 7;

/// Seconds that air at the mean speed takes on the screen from one end of the window to the other.
const SECONDS_TO_CROSS: f64 = 3.0;

/// How long the air runs before there is smoke in it, and how long smoke enters before the film begins, in the time that air at the mean speed takes through the window.
const WARM_UP: (f64, f64) = (1.3, 1.0);

/// Columns of a panel.
const PANEL_WIDTH: usize = 380;

/// The part of the air that is shown, m: x along the flow from the face of the grille that the air meets first, y from the middle of a hole or the axis of the fan.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Window {
    /// Its ends along x.
    pub x: [f64; 2],
    /// Its ends along y.
    pub y: [f64; 2],
}

impl Window {
    /// Columns and rows of its picture.
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "a window is about as high as it is wide"
    )]
    pub fn pixels(&self) -> [usize; 2] {
        let height = (self.y[1] - self.y[0]) * self.pixels_per_metre();
        [
            PANEL_WIDTH,
            (height.round() as usize).clamp(16, 4 * PANEL_WIDTH),
        ]
    }

    /// Pixels per m.
    pub fn pixels_per_metre(&self) -> f64 {
        PANEL_WIDTH as f64 / self.length()
    }

    /// Its length along x, m.
    pub fn length(&self) -> f64 {
        self.x[1] - self.x[0]
    }
}

/// How the time of a film goes by; all times are those of the air, s.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Clock {
    /// Before smoke is let in.
    pub settling: f64,
    /// With smoke, before the first frame.
    pub filling: f64,
    /// From one frame to the next.
    pub frame: f64,
    /// Number of frames.
    pub frame_count: usize,
}

impl Clock {
    /// The clock of a window through which the air goes at this mean speed (m/s), for a film of some seconds.
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "a film has some hundred frames at most"
    )]
    pub fn new(window: &Window, speed: f64, seconds: f64) -> Self {
        let crossing = window.length() / speed;
        Self {
            settling: WARM_UP.0 * crossing,
            filling: WARM_UP.1 * crossing,
            frame: crossing / (SECONDS_TO_CROSS * FRAMES_PER_SECOND),
            frame_count: ((seconds * FRAMES_PER_SECOND).round() as usize).max(2),
        }
    }

    /// Time of the air from its start to the last frame.
    pub fn whole(&self) -> f64 {
        self.settling + self.filling + self.frame * (self.frame_count - 1) as f64
    }

    /// Time in which air at the mean speed passes the window.
    pub fn crossing(&self) -> f64 {
        self.frame * SECONDS_TO_CROSS * FRAMES_PER_SECOND
    }

    /// Time of the air that passes in a second on the screen.
    pub fn slow_motion(&self) -> f64 {
        self.frame * FRAMES_PER_SECOND
    }
}
