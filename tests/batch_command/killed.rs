//! A batch that is killed again and again.

use std::path::PathBuf;
use std::process::Stdio;
use std::time::{Duration, Instant};

use crate::stage::{base, base_study, command, edit, ranking, run_files, stage, text, ventwright};
use crate::stopped::{leftovers, signal};

/// How often it is killed.
const TIMES: usize = 50;

/// Equal numbers on every machine, from 0 to 1: a multiplicative congruential generator (D. H. Lehmer's, with the multiplier 48271 of S. Park and K. Miller; from memory).
struct Moments(u64);

impl Moments {
    fn next(&mut self) -> f64 {
        self.0 = self.0 * 48_271 % 0x7fff_ffff;
        f64::from(u32::try_from(self.0).unwrap()) / f64::from(0x7fff_ffff_u32)
    }
}

#[test]
#[ignore = "slow: 1 min"]
fn killed_at_fifty_moments_it_ranks_as_if_nothing_had_happened() {
    let mut moments = Moments(20_241);
    let mut killed = 0;
    let mut batches = 0;
    while killed < TIMES {
        let folder = stage(&base_study());
        edit(&folder.path().join("tiny.toml"), |text| {
            text.replace("[run]", "[run]\ncheckpoint_min = 0.0005")
        });
        let mut went_on = 0;
        loop {
            let mut command = command(folder.path(), &["run", "tiny.toml", "--threads", "2"]);
            command.stdout(Stdio::null()).stderr(Stdio::piped());
            let mut child = command.spawn().unwrap();
            let moment = Instant::now() + Duration::from_secs_f64(0.02 + 2.0 * moments.next());
            // Nobody waits for a batch that has come to its end.
            while Instant::now() < moment && child.try_wait().unwrap().is_none() {
                std::thread::sleep(Duration::from_millis(2));
            }
            if killed < TIMES && child.try_wait().unwrap().is_none() {
                signal(&child, "-KILL");
            }
            let output = child.wait_with_output().unwrap();
            went_on += text(&output.stderr).matches(": goes on after ").count();
            match output.status.code() {
                None => killed += 1,
                code => {
                    assert_eq!(code, Some(0), "{}", text(&output.stderr));
                    break;
                }
            }
        }
        batches += 1;
        println!("batch {batches}: killed {killed} times so far, {went_on} half runs gone on with");
        // Once more, so that on both sides every run was found finished.
        let again = ventwright(folder.path(), &["run", "tiny.toml"]);
        assert_eq!(text(&again.stdout), text(&base().1.stdout));
        assert_eq!(ranking(folder.path()), ranking(base().0.path()));
        assert_eq!(run_files(folder.path()), run_files(base().0.path()));
        assert_eq!(leftovers(folder.path()), Vec::<PathBuf>::new());
    }
}
