//! Test room: broken jobs, and the whole message each gets.

use duskwright_solver::job;
use duskwright_tests::small_job;

#[test]
fn the_small_job_is_accepted() {
    let (job, notices) = job::read(&small_job()).unwrap_or_else(|faults| panic!("{faults}"));
    assert_eq!(notices, []);
    assert_eq!(job.fixtures.len(), 3);
    println!("{job:#?}");
    println!("{}", job::schema_text());
}
