//! Work on all cores, with the answers in the order of what was asked.

/// Does `work` on every item and hands the results back in the order of the items: on all cores with the feature
/// `parallel`, one after the other without it. A panic in `work` is the caller's.
#[cfg(feature = "parallel")]
pub(crate) fn in_order<T: Sync, R: Send>(
    items: &[T],
    work: impl Fn(&T) -> R + Sync + Send,
) -> Vec<R> {
    use rayon::prelude::*;
    if items.len() < 2 {
        // Starting a pool of threads takes longer than many an answer.
        return items.iter().map(work).collect();
    }
    // Items differ in length, so that a core that is free takes the next one, and none is given several beforehand.
    items.par_iter().with_max_len(1).map(work).collect()
}

/// As on all cores, so that a caller need not know which it is.
#[cfg(not(feature = "parallel"))]
pub(crate) fn in_order<T: Sync, R: Send>(
    items: &[T],
    work: impl Fn(&T) -> R + Sync + Send,
) -> Vec<R> {
    items.iter().map(work).collect()
}

#[cfg(test)]
mod tests {
    use std::panic::catch_unwind;
    use std::time::Duration;

    use super::*;

    #[test]
    fn results_stand_in_the_order_of_the_items_whichever_is_done_first() {
        for count in [0_u64, 1, 2, 3, 40] {
            let items: Vec<u64> = (0..count).collect();
            let work = |item: &u64| {
                // The first takes longest.
                std::thread::sleep(Duration::from_micros(50 * (count - item)));
                item * item
            };
            let expected: Vec<u64> = items.iter().map(|item| item * item).collect();
            assert_eq!(in_order(&items, work), expected);
        }
    }

    #[test]
    fn the_first_error_in_order_is_the_one_that_is_told() {
        let items: Vec<u64> = (0..40).collect();
        let work = |item: &u64| match item {
            7 => {
                std::thread::sleep(Duration::from_millis(5));
                Err("the seventh")
            }
            9 => Err("the ninth"),
            _ => Ok(*item),
        };
        let told: Result<Vec<u64>, &str> = in_order(&items, work).into_iter().collect();
        assert_eq!(told, Err("the seventh"));
    }

    #[test]
    fn a_panic_in_the_work_reaches_the_caller_with_its_words() {
        for count in [1_usize, 30] {
            let caught = catch_unwind(|| {
                in_order(&vec![0; count], |_: &i32| -> i32 { std::panic::panic_any("on purpose") })
            });
            let words = caught.expect_err("a panic");
            assert_eq!(words.downcast_ref::<&str>(), Some(&"on purpose"));
        }
    }

    #[test]
    #[cfg(feature = "parallel")]
    fn many_items_are_worked_on_by_the_pool() {
        let on_the_pool = |_: &i32| rayon::current_thread_index().is_some();
        assert_eq!(in_order(&[0; 20], on_the_pool), [true; 20]);
        assert_eq!(in_order(&[0], on_the_pool), [false]);
    }
}
