//! Moist air, liquid water, tube, board and ground materials, and the physical constants.
