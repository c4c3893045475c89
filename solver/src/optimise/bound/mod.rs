//! A proven lower bound on the direct cost of every plan of a job.
