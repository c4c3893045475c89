//! The site graph: shortest routes and Steiner trees. No volts, no cable prices.
