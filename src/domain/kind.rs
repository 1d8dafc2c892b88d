//! Component kinds, with their clearance and the radius assumed when none was
//! reported. Clearances and radii are policy defaults from common practice or
//! memory; a department may change the clearances.

use super::vehicle::words;

words! {
    /// What a component is. Words are the trade's.
    Kind {
        Inflator = "inflator",
        GasCylinder = "gas-cylinder",
        Pretensioner = "pretensioner",
        ControlUnit = "control-unit",
        GasStrut = "gas-strut",
        RolloverActuator = "rollover-actuator",
        ColumnActuator = "column-actuator",
        HoodActuator = "hood-actuator",
        HvCutoffCharge = "hv-cutoff-charge",
        CrashSensor = "crash-sensor",
        Cushion = "cushion",
        HvCable = "hv-cable",
        HvPart = "hv-part",
        HvDisconnect = "hv-disconnect",
        HvBattery = "hv-battery",
        FuelGasTank = "fuel-gas-tank",
        Battery48v = "battery-48v",
        Ultracapacitor = "ultracapacitor",
        FuelLine = "fuel-line",
        FuelGasLine = "fuel-gas-line",
        FuelTank = "fuel-tank",
        Battery12v = "battery-12v",
        CutLoop = "cut-loop",
        LatchRelease = "latch-release",
        Reinforcement = "reinforcement",
        Magnesium = "magnesium",
        Composite = "composite",
    }
}

words! {
    /// Which bag a `cushion`, `inflator` or `gas-cylinder` belongs to.
    Bag {
        Driver = "driver", Passenger = "passenger", Knee = "knee", SeatSide = "seat-side",
        SeatCushion = "seat-cushion", Centre = "centre", Curtain = "curtain", Door = "door",
        RearWindow = "rear-window", SeatBack = "seat-back", Roof = "roof", Belt = "belt",
        External = "external",
    }
}

/// What a kind does to a blade.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum KindClass {
    /// Keep a blade off.
    NoCut,
    /// Steel or other material a blade may stall in: an attribute, no class.
    Material,
}

impl Kind {
    pub const fn class(self) -> KindClass {
        match self {
            Self::Reinforcement | Self::Magnesium | Self::Composite => KindClass::Material,
            _ => KindClass::NoCut,
        }
    }

    /// Default clearance in mm; `None` for materials.
    pub const fn default_clearance_mm(self) -> Option<f64> {
        Some(match self {
            Self::Inflator | Self::GasCylinder => 75.0,
            Self::Pretensioner
            | Self::ControlUnit
            | Self::GasStrut
            | Self::RolloverActuator
            | Self::ColumnActuator
            | Self::HoodActuator
            | Self::HvCutoffCharge
            | Self::Battery48v
            | Self::Ultracapacitor
            | Self::FuelLine
            | Self::FuelGasLine
            | Self::FuelTank => 50.0,
            Self::CrashSensor
            | Self::Cushion
            | Self::Battery12v
            | Self::CutLoop
            | Self::LatchRelease => 25.0,
            Self::HvCable | Self::HvPart | Self::HvDisconnect => 100.0,
            Self::HvBattery | Self::FuelGasTank => 150.0,
            Self::Reinforcement | Self::Magnesium | Self::Composite => return None,
        })
    }

    /// Radius in mm assumed when a finding reports none; 0 for materials.
    pub const fn default_radius_mm(self) -> f64 {
        match self {
            Self::Inflator | Self::HoodActuator | Self::HvCutoffCharge => 30.0,
            Self::GasCylinder | Self::Pretensioner => 35.0,
            Self::ControlUnit => 60.0,
            Self::GasStrut | Self::FuelLine | Self::FuelGasLine => 15.0,
            Self::RolloverActuator | Self::ColumnActuator | Self::Cushion => 40.0,
            Self::CrashSensor | Self::HvCable => 25.0,
            Self::HvPart | Self::HvDisconnect => 80.0,
            Self::HvBattery | Self::Battery48v => 100.0,
            Self::FuelGasTank => 180.0,
            Self::Ultracapacitor => 50.0,
            Self::FuelTank => 150.0,
            Self::Battery12v => 90.0,
            Self::CutLoop | Self::LatchRelease => 20.0,
            Self::Reinforcement | Self::Magnesium | Self::Composite => 0.0,
        }
    }

    /// Kinds that a card lists before all others: what makes the car dead, and
    /// the latch that opens it.
    pub const fn listed_first(self) -> bool {
        matches!(self, Self::Battery12v | Self::CutLoop | Self::LatchRelease)
    }

    /// Whether it may belong to an airbag.
    pub const fn is_of_a_bag(self) -> bool {
        matches!(self, Self::Inflator | Self::GasCylinder | Self::Cushion)
    }

    /// Whether it may belong to a seat's belt.
    pub const fn is_of_a_belt(self) -> bool {
        matches!(self, Self::Pretensioner)
    }

    /// Whether it holds gas under pressure, or is charged to make some.
    pub const fn holds_gas(self) -> bool {
        matches!(
            self,
            Self::Inflator
                | Self::GasCylinder
                | Self::GasStrut
                | Self::FuelGasTank
                | Self::FuelGasLine
        )
    }

    /// Whether it belongs to the high-voltage side, or cuts it off.
    pub const fn is_high_voltage(self) -> bool {
        matches!(
            self,
            Self::HvCable
                | Self::HvPart
                | Self::HvDisconnect
                | Self::HvBattery
                | Self::HvCutoffCharge
        )
    }

    /// The kind in words for people.
    pub const fn name(self) -> &'static str {
        match self {
            Self::Inflator => "inflator",
            Self::GasCylinder => "stored gas cylinder",
            Self::Pretensioner => "belt pretensioner",
            Self::ControlUnit => "restraint control unit",
            Self::GasStrut => "gas strut",
            Self::RolloverActuator => "rollover bar actuator",
            Self::ColumnActuator => "steering column actuator",
            Self::HoodActuator => "hood actuator",
            Self::HvCutoffCharge => "high-voltage cut-off charge",
            Self::CrashSensor => "crash sensor",
            Self::Cushion => "folded bag",
            Self::HvCable => "high-voltage cable",
            Self::HvPart => "high-voltage part",
            Self::HvDisconnect => "high-voltage disconnect",
            Self::HvBattery => "high-voltage battery",
            Self::FuelGasTank => "fuel gas tank",
            Self::Battery48v => "48 V battery",
            Self::Ultracapacitor => "ultracapacitor",
            Self::FuelLine => "fuel line",
            Self::FuelGasLine => "fuel gas line",
            Self::FuelTank => "fuel tank",
            Self::Battery12v => "12 V battery",
            Self::CutLoop => "cut loop",
            Self::LatchRelease => "mechanical latch release",
            Self::Reinforcement => "high-strength steel",
            Self::Magnesium => "magnesium",
            Self::Composite => "composite",
        }
    }
}
