//! check
use crate::cli::{Failure, Outcome, StudyArgs, Terminal};
use clap::Args;
/// Arguments of `check`.
#[derive(Debug, Clone, Args)]
pub struct CheckArgs {
    /// The study.
    #[command(flatten)]
    pub study: StudyArgs,
}
/// x
pub struct RunPlan;
/// x
pub struct PlannedRun;
/// x
pub(super) fn check(args: &CheckArgs, terminal: &Terminal) -> Result<Outcome, Failure> {
    let on_disk = args.study.read()?;
    terminal.result(&on_disk.study.to_toml())?;
    Ok(Outcome::Done)
}
