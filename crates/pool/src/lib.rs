//! The heat and water that an outdoor pool gains and loses.
