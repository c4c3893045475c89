//! Electrical quantities, time and temperature.

use super::length::Metres;
use super::{product, quantity};

quantity!(
    /// Electric potential difference, V (root mean square for ac).
    Volts, "V"
);
quantity!(
    /// Electric current, A (root mean square for ac).
    Amperes, "A"
);
quantity!(
    /// Apparent power, VA.
    VoltAmperes, "VA"
);
quantity!(
    /// Real power, W.
    Watts, "W"
);
quantity!(
    /// Resistance or reactance, ohm.
    Ohms, "ohm"
);
quantity!(
    /// Resistance or reactance of one conductor per length, ohm/m.
    OhmsPerMetre, "ohm/m"
);
quantity!(
    /// Temperature coefficient of resistance, 1/°C.
    PerCelsius, "/°C"
);
quantity!(
    /// Temperature, °C.
    Celsius, "°C"
);
quantity!(
    /// Cross-section, mm².
    SquareMillimetres, "mm²"
);
quantity!(
    /// Working or lighting time, h.
    Hours, "h"
);
quantity!(
    /// Energy, kWh.
    KilowattHours, "kWh"
);

product!(Amperes * Ohms = Volts);
product!(Volts * Amperes = VoltAmperes);
product!(OhmsPerMetre * Metres = Ohms);
