//! One checked, priced circuit: how to build it and change it.
