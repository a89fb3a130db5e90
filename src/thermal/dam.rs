//! Whether snow on a roof melts from below while its eave stays frozen: the two-layer balance.
//!
//! Snow lies on the deck as a blanket. Heat comes up from the attic through the roof and leaves through the snow; where more comes
//! than leaves, the snow's base stands at 32 °F and melts. An estimate on a steady day without sun: real roofs have bridges,
//! leaks and vents.
//!
//! # Source
//! Own derivation, `FACTS.md` 4.4, with check values computed there. That dams form when the upper roof is over 32 °F under snow
//! and the lower one under it is the University of Minnesota Extension's account, seen as quoted.

use super::melt::WATER_MELT_FLUX;

/// °F at which snow melts.
const MELTING: f64 = 32.0;

/// A roof under snow on a steady day.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct RoofLayers {
    /// Air under the deck, °F.
    pub attic: f64,
    /// Outside air, °F.
    pub outside: f64,
    /// From the attic's air to the snow's base, h ft² °F/Btu.
    pub roof_resistance: f64,
    /// From the snow's base to the outside air, h ft² °F/Btu.
    pub snow_resistance: f64,
}

/// What becomes of the snow.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Dam {
    /// Temperature the base of the snow would have if it could not melt, °F.
    pub dry_surface: f64,
    /// Flux left to melt it, Btu/h ft²; 0 when it does not melt.
    pub melt_flux: f64,
    /// Water that runs down, in/h.
    pub water_rate: f64,
    /// Whether water runs down to an eave that is below freezing.
    pub likely: bool,
}

impl RoofLayers {
    /// The balance at the base of the snow.
    #[must_use]
    pub fn dam(&self) -> Dam {
        let (up, out) = (1.0 / self.roof_resistance, 1.0 / self.snow_resistance);
        let dry_surface = (self.attic * up + self.outside * out) / (up + out);
        let surplus = (self.attic - MELTING) * up - (MELTING - self.outside) * out;
        let melt_flux = surplus.max(0.0);
        Dam {
            dry_surface,
            melt_flux,
            water_rate: melt_flux / WATER_MELT_FLUX,
            likely: melt_flux > 0.0 && self.outside < MELTING,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn dam(attic: f64, outside: f64, roof_resistance: f64, snow_resistance: f64) -> Dam {
        RoofLayers { attic, outside, roof_resistance, snow_resistance }.dam()
    }

    /// FACTS 4.4, the four cases worked there.
    #[test]
    fn two_layer_balance() {
        for (attic, outside, roof, snow, surface, flux) in [
            (40.0, 22.0, 1.5, 8.0, 37.158, 4.0833),
            (30.0, 22.0, 1.5, 8.0, 28.737, 0.0),
            (35.0, 10.0, 1.5, 12.0, 32.222, 0.166_67),
            (45.0, 28.0, 2.0, 4.0, 39.333, 5.5),
        ] {
            let found = dam(attic, outside, roof, snow);
            assert!((found.dry_surface - surface).abs() < 5e-4, "{found:?}");
            assert!((found.melt_flux - flux).abs() < 5e-5, "{found:?}");
            assert_eq!(found.likely, flux > 0.0);
        }
        assert!((dam(40.0, 22.0, 1.5, 8.0).water_rate - 0.005_48).abs() < 5e-6);
    }

    /// A thaw has melt water but no frozen eave to dam it.
    #[test]
    fn a_thaw_does_not_dam() {
        assert!(!dam(60.0, 33.0, 1.5, 8.0).likely);
    }
}
