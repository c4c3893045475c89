//! The bill and the schedules: every figure that papers show, from a plan and its job.
