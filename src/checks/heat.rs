//! Whether the band melts what falls, and whether the roof is one that dams: figures for the job's weather.
//!
//! The balance is that of a level slab in the open, so its flux is a demand to hold the band against, and meeting it is no promise;
//! the dam figures are an estimate on a steady day. Both say so wherever they are printed.

use super::model::{Heat, MeltDemand, SourceLabel, Verdict};
use super::rules::{Judged, Rule};
use crate::courses::Courses;
use crate::job::{Job, SiteSettings};
use crate::thermal::{
    Band, Conditions, MeltFlux, RoofLayers, balance, closed_form, dew_point, mean_radiant, pressure_at,
};
use crate::units::decimal;

const MELT_FLUX: Rule = Rule {
    code: "melt-flux",
    words: "heat of the band at the surface, compared with what a level slab in the open needs for the site's snow: a bound to hold the \
            design against, never a promise; for the owner and designer to accept",
    clause: None,
    source: SourceLabel::Memory,
    unit: "Btu/h ft²",
    remedy: "choose element of more power or a shingle of less exposure, or accept that heavy snow lies until it is over; check the \
             weather under [site]",
};

/// The weather of the job as the formulas take it.
fn conditions(site: &SiteSettings) -> Conditions {
    let radiant =
        site.cloud.map_or(site.air, |cloud| mean_radiant(site.air, dew_point(site.air, site.humidity), cloud));
    Conditions {
        air: site.air,
        humidity: site.humidity,
        wind: site.wind,
        water_rate: site.snow_water,
        pressure: pressure_at(site.elevation),
        radiant,
    }
}

fn demand(flux: &MeltFlux, site: &SiteSettings) -> MeltDemand {
    MeltDemand {
        sensible: flux.sensible,
        melting: flux.melting,
        convection: flux.convection,
        radiation: flux.radiation,
        evaporation: flux.evaporation,
        total: flux.total(site.free_area),
    }
}

/// The figures; none when no deck course is laid.
pub(super) fn heat(courses: &Courses, job: &Job) -> Option<Heat> {
    let rule = courses.rule.as_ref()?;
    let (site, deck) = (&job.estimate.site, &job.products.deck.value);
    // Constant resistance: power goes with the square of the voltage.
    let voltage = job.electrical.volts.value / deck.volts;
    let band = Band {
        watts_per_foot: deck.watts_per_foot * voltage * voltage,
        spacing: rule.exposure,
        backside_loss: site.backside_loss,
    };
    let weather = conditions(site);
    let dam = RoofLayers {
        attic: site.attic,
        outside: site.icing_air,
        roof_resistance: site.roof_resistance,
        snow_resistance: site.snow_depth * site.snow_resistance,
    }
    .dam();
    let water_melted = band.water_melted(&weather, site.free_area);
    Some(Heat {
        weather_given: site.given,
        free_area: site.free_area,
        balance: demand(&balance(&weather), site),
        closed_form: demand(&closed_form(&weather), site),
        band_watts_per_square_foot: band.watt_density(),
        band_flux: band.surface_flux(),
        water_melted,
        snow_melted: water_melted * site.snow_ratio,
        dam_dry_surface: dam.dry_surface,
        dam_melt_flux: dam.melt_flux,
        dam_water_rate: dam.water_rate,
        dam_likely: dam.likely,
    })
}

/// The one comparison. With weather nobody gave it raises no finding: there is nothing to settle it against.
pub(super) fn judge(heat: &Heat, job: &Job, out: &mut Vec<Judged>) {
    let site = &job.estimate.site;
    let working = format!(
        "{} W/ft² less {} % to the deck = {} Btu/h ft²; demand {} at {} in/h of water, {} °F, {} mph, free area {} %; closed form {}{}",
        decimal(heat.band_watts_per_square_foot, 1),
        decimal(100.0 * site.backside_loss, 1),
        decimal(heat.band_flux, 1),
        decimal(heat.balance.total, 1),
        decimal(site.snow_water, 3),
        decimal(site.air, 1),
        decimal(site.wind, 1),
        decimal(100.0 * site.free_area, 0),
        decimal(heat.closed_form.total, 1),
        if site.given { "" } else { "; weather assumed" },
    );
    let mut judged =
        MELT_FLUX.judge("whole roof", Verdict::Authority, heat.band_flux, Some(heat.balance.total), working);
    judged.beyond_comparison = site.given && heat.band_flux < heat.balance.total;
    out.push(judged);
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::catalog::Catalogue;
    use crate::courses::CourseRule;
    use crate::units::Length;
    use proptest::prelude::*;

    fn job() -> Job {
        Job::with_defaults(&Catalogue::sample()).unwrap()
    }

    fn laid(job: &Job) -> Courses {
        let exposure = job.products.shingle.value.exposure.inches();
        let rule = CourseRule {
            layer: crate::courses::Layer::UnderShingles,
            exposure,
            nail_low: 5.625,
            nail_high: 5.625,
            clearance: 0.5,
            rise: 1.125,
            rise_window: crate::geometry::Interval::new(1.0, 1.25),
            starter_width: 2.0,
            deck_width: 4.0,
        };
        Courses { rule: Some(rule), ..Courses::default() }
    }

    /// By hand with the weather of vector T1 (FACTS 4.1): the band of 12 W/ft every 5 in gives 83.53 Btu/h ft² after 15 %; T1 asks
    /// 78.858 under snow, 145.542 half bare.
    #[test]
    fn the_band_against_t1() {
        let mut job = job();
        let site = &mut job.estimate.site;
        (site.given, site.air, site.humidity, site.wind, site.snow_water) = (true, 17.0, 0.863_27, 19.6, 0.1);
        let found = heat(&laid(&job), &job).unwrap();
        assert!((found.band_flux - 83.53).abs() < 0.01 && (found.balance.total - 78.858).abs() < 0.01, "{found:?}");
        assert!((found.closed_form.total / found.balance.total - 1.0).abs() < 0.01);
        assert!((found.snow_melted - 1.059).abs() < 1e-3);
        let judged = |job: &Job| {
            let mut out = Vec::new();
            judge(&heat(&laid(job), job).unwrap(), job, &mut out);
            (out[0].check.verdict, out[0].beyond_comparison)
        };
        assert_eq!(judged(&job), (Verdict::Authority, false));
        job.estimate.site.free_area = 0.5;
        assert_eq!(judged(&job), (Verdict::Authority, true));
        job.estimate.site.given = false;
        assert_eq!(judged(&job), (Verdict::Authority, false), "weather nobody gave raises no finding");
    }

    /// FACTS 4.4, first case, by the job's defaults: attic 40 °F, outside 22 °F, R 1.5 under 8 in of snow.
    #[test]
    fn the_default_roof_dams() {
        let found = heat(&laid(&job()), &job()).unwrap();
        assert!((found.dam_dry_surface - 37.158).abs() < 5e-4 && (found.dam_melt_flux - 4.0833).abs() < 5e-5);
        assert!(found.dam_likely);
    }

    proptest! {
        /// A smaller exposure never lowers the flux of the band.
        #[test]
        fn smaller_exposure_never_lowers_the_band_flux(exposure in 3.0..10.0_f64, closer in 0.3..1.0_f64) {
            let at = |inches: f64| {
                let mut job = job();
                job.products.shingle.value.exposure = Length::from_inches(inches);
                heat(&laid(&job), &job).unwrap().band_flux
            };
            prop_assert!(at(exposure * closer) >= at(exposure));
        }
    }
}
