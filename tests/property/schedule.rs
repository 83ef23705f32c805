//! Property: runs side by side never take more memory together than allowed, each is begun once, and none that fits is forgotten.
//!
//! By counting: whatever the runs, the order in which they end and the number of threads.

use proptest::prelude::*;

use ventwright::run::batch::memory_admission::{MemoryAdmission, Turn};

proptest! {
    #[test]
    fn runs_under_way_never_take_more_than_allowed(
        sizes in prop::collection::vec(0_u64..120, 0..40),
        limit in 0_u64..300,
        threads in 1_usize..9,
        ends in prop::collection::vec(0_usize..1000, 40),
    ) {
        let mut admission = MemoryAdmission::new(sizes.iter().copied().enumerate(), limit);
        let mut under_way: Vec<usize> = Vec::new();
        let mut begun: Vec<usize> = Vec::new();
        let mut end = ends.iter().cycle();
        loop {
            let turn = if under_way.len() < threads { admission.turn() } else { Turn::Wait };
            match turn {
                Turn::Begin(run) => {
                    begun.push(run);
                    under_way.push(run);
                }
                Turn::Done if under_way.is_empty() => break,
                Turn::Wait | Turn::Done => {
                    prop_assert!(!under_way.is_empty(), "nothing is under way, and nothing begins");
                    let ended = end.next().map_or(0, |end| end % under_way.len());
                    let run = under_way.swap_remove(ended);
                    admission.give_back(sizes[run]);
                }
            }
            let together: u64 = under_way.iter().map(|&run| sizes[run]).sum();
            prop_assert!(together <= limit);
            prop_assert_eq!(together, admission.in_use());
        }
        begun.sort_unstable();
        let fitting: Vec<usize> = (0..sizes.len()).filter(|&run| sizes[run] <= limit).collect();
        prop_assert_eq!(begun, fitting);
    }
}
