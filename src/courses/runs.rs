//! Clear stretches of one course.

use super::model::RunLimit;
use super::strip::forbidden;
use crate::geometry::{Interval, IntervalSet, Point2};
use crate::zones::{FaceLayout, Zone, ZoneKind};

/// A run ends where something stops it, to this many inches.
const SAME: f64 = 1e-9;

/// A clear stretch and what ends it left and right.
pub(super) struct ClearStretch {
    pub along: Interval,
    pub limits: [RunLimit; 2],
}

/// All stretches of the strip `across` where an element's whole width is clear and lies in the zone.
///
/// `taken` are stretches of elements already laid in these heights, with the gap between ends. Between two forbidden stretches no edge passes
/// through the strip, so one point tells whether all of it is roof: this holds for concave faces and faces with holes too.
pub(super) fn clear_stretches(
    layout: &FaceLayout,
    zone: &Zone,
    across: Interval,
    taken: &[Interval],
) -> Vec<ClearStretch> {
    let mut blocked: Vec<(Interval, RunLimit)> = layout
        .edges
        .iter()
        .filter_map(|edge| Some((forbidden(edge.a, edge.b, edge.setback, across)?, RunLimit::Edge(edge.edge))))
        .collect();
    blocked.extend(
        layout
            .openings
            .iter()
            .filter(|opening| opening.keep_out.v.overlap(across).is_some())
            .map(|opening| (opening.keep_out.u, RunLimit::Opening(opening.opening))),
    );
    blocked.extend(
        layout
            .keep_outs
            .iter()
            .filter(|area| area.keep_out.v.overlap(across).is_some())
            .map(|area| (area.keep_out.u, RunLimit::KeepOut)),
    );
    blocked.extend(
        zone.excluded.iter().filter(|area| area.v.overlap(across).is_some()).map(|area| (area.u, RunLimit::Zone)),
    );
    blocked.extend(taken.iter().map(|&stretch| (stretch, RunLimit::Zone)));
    let stops = IntervalSet::from_union(blocked.iter().map(|(stretch, _)| *stretch).collect());
    let middle = 0.5 * (across.low + across.high);
    wanted(layout, zone, across)
        .minus(&stops)
        .stretches()
        .iter()
        .filter(|stretch| layout.region.contains(Point2::new(0.5 * (stretch.low + stretch.high), middle)))
        .map(|&along| ClearStretch {
            along,
            limits: [
                limit_at(&blocked, |stretch| (stretch.high - along.low).abs()),
                limit_at(&blocked, |stretch| (stretch.low - along.high).abs()),
            ],
        })
        .collect()
}

/// Stations the zone wants heated at these heights.
fn wanted(layout: &FaceLayout, zone: &Zone, across: Interval) -> IntervalSet {
    match zone.kind {
        ZoneKind::Eave => IntervalSet::from_union(vec![zone.along]),
        // The courses go on until their whole end lies past the band's edge, as the top course goes past the reach.
        ZoneKind::Valley => IntervalSet::from_union(
            layout
                .edges
                .iter()
                .filter(|edge| zone.edges.contains(&edge.edge))
                .filter_map(|edge| forbidden(edge.a, edge.b, zone.valley_width, across)?.overlap(zone.along))
                .collect(),
        ),
    }
}

fn limit_at(blocked: &[(Interval, RunLimit)], off: impl Fn(Interval) -> f64) -> RunLimit {
    blocked.iter().find(|(stretch, _)| off(*stretch) <= SAME).map_or(RunLimit::Zone, |(_, limit)| limit.clone())
}
