//! Strip physics and code tables, shared by courses, wiring and checks.
