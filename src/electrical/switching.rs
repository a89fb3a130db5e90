//! How many switching devices circuits need, and what switches them.

use crate::catalog::{Contactor, Controller};

/// Devices of so many poles for circuits of so many poles each, no circuit split over two; `None` when one device cannot take one circuit.
#[must_use]
pub fn devices_for(circuits: usize, circuit_poles: u32, device_poles: u32) -> Option<usize> {
    let each = device_poles.checked_div(circuit_poles).filter(|&each| each > 0)?;
    Some(circuits.div_ceil(each as usize))
}

/// What opens and closes the circuits on the sensor's word.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Switching<'a> {
    /// The controller's own output.
    Controller(&'a Controller),
    /// Contactors that the controller drives.
    Contactors {
        /// The product.
        contactor: &'a Contactor,
        /// How many; none when one cannot take a circuit.
        count: Option<usize>,
    },
    /// The catalogue has nothing to switch with.
    Unknown,
}

/// The controller's own output where it has the poles, the amperes and the volts for all circuits, else contactors.
///
/// # Units
/// `pole_amps`: 125 % of the fullest circuit, amperes; `volts` of the supply.
#[must_use]
pub fn switching<'a>(
    controller: Option<&'a Controller>,
    contactor: Option<&'a Contactor>,
    (circuits, poles): (usize, u32),
    (pole_amps, volts): (f64, f64),
) -> Switching<'a> {
    let wanted = circuits as u64 * u64::from(poles);
    let able = |c: &&Controller| u64::from(c.poles) >= wanted && c.amps >= pole_amps && c.volts >= volts;
    match (controller.filter(able), contactor) {
        (Some(controller), _) => Switching::Controller(controller),
        (None, Some(contactor)) => {
            Switching::Contactors { contactor, count: devices_for(circuits, poles, contactor.poles) }
        }
        (None, None) => Switching::Unknown,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::catalog::Catalogue;

    /// Three circuits of two poles: three two-pole switches, two four-pole contactors, none with one pole.
    #[test]
    fn devices_by_poles() {
        assert_eq!([2, 4, 6, 1].map(|poles| devices_for(3, 2, poles)), [Some(3), Some(2), Some(1), None]);
        assert_eq!((devices_for(3, 1, 2), devices_for(0, 2, 2), devices_for(1, 0, 2)), (Some(2), Some(0), None));
    }

    #[test]
    fn a_controller_switches_itself_only_what_it_can_carry() {
        let catalogue = Catalogue::sample();
        let (contactor, mut controller) = (&catalogue.contactors[0], catalogue.controllers[0].clone());
        let by = |controller: &Controller, circuits| {
            let made = switching(Some(controller), Some(contactor), (circuits, 2), (20.0, 240.0));
            matches!(made, Switching::Controller(_))
        };
        assert!(!by(&controller, 1));
        (controller.poles, controller.amps) = (2, 20.0);
        assert!(by(&controller, 1) && !by(&controller, 2));
        controller.volts = 208.0;
        assert!(!by(&controller, 1));
        assert_eq!(switching(None, None, (1, 2), (20.0, 240.0)), Switching::Unknown);
    }
}
