//! Heat and outlet temperature of a home-built or rated solar heater.
