//! What is to be solved for a study and what is made of the numbers, with made-up numbers: nothing is solved here.

mod names;
mod night_budget;
mod runs;
mod unsettled_runs;
