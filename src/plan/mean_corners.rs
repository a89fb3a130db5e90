//! Corners that two roofs of different heights share at their mean.
//!
//! Models of towns keep one height a corner, and where the wall between two roofs runs out that is the mean of both. Each roof's plane
//! then leans towards the other's. Such a corner gives itself away: both facets are out of flat with it and flat without it, and
//! it stands halfway between the heights at which their planes pass it.

use crate::geometry::{Plane, Point3, fit_plane};
use std::collections::BTreeMap;

/// How far from halfway such a corner may stand, as a share of the height between the planes: heights written to a millimetre put the plane
/// of a narrow facet a few millimetres off where it passes its own corner.
const HALFWAY: f64 = 0.1;

/// Puts such corners on the plane of each of their facets. `flatness` is how far out of flat, in inches, a flat facet may be.
pub(super) fn part(outlines: &mut [Vec<Point3>], flatness: f64) {
    let bits = |p: &Point3| [p.x, p.y, p.z].map(f64::to_bits);
    let mut facets_at: BTreeMap<[u64; 3], (Point3, Vec<usize>)> = BTreeMap::new();
    for (facet, corners) in outlines.iter().enumerate() {
        for corner in corners {
            facets_at.entry(bits(corner)).or_insert_with(|| (*corner, Vec::new())).1.push(facet);
        }
    }
    let flat: Vec<bool> =
        outlines.iter().map(|corners| fit_plane(corners).is_some_and(|(_, miss)| miss <= flatness)).collect();
    let mut moved = Vec::new();
    for (corner, facets) in facets_at.values() {
        // Three corners are flat wherever they stand; a flat facet of more vouches for this one.
        let (tilted, vouching): (Vec<usize>, Vec<usize>) =
            facets.iter().copied().filter(|&f| outlines[f].len() > 3).partition(|&f| !flat[f]);
        let &[one, other] = tilted.as_slice() else { continue };
        let without = |facet: usize| without(&outlines[facet], corner, flatness);
        let (Some(low), Some(high)) = (without(one), without(other)) else { continue };
        let heights = [low, high].map(|plane| plane.height(corner.plan()));
        let (mean, apart) = ((heights[0] + heights[1]) / 2.0, (heights[0] - heights[1]).abs());
        if vouching.is_empty() && (mean - corner.z).abs() <= HALFWAY * apart {
            moved.push((*corner, [(one, heights[0]), (other, heights[1])]));
        }
    }
    let mut corners_of: BTreeMap<usize, usize> = BTreeMap::new();
    for (facet, _) in moved.iter().flat_map(|m| m.1) {
        *corners_of.entry(facet).or_default() += 1;
    }
    // Of two such corners on one facet neither is certain: each was judged by a plane that the other leans.
    for (corner, sides) in moved.iter().filter(|m| m.1.iter().all(|side| corners_of[&side.0] == 1)) {
        for &(facet, height) in sides {
            outlines[facet].iter_mut().filter(|p| bits(p) == bits(corner)).for_each(|p| p.z = height);
        }
    }
}

/// The plane of a facet's other corners, if they are flat.
fn without(corners: &[Point3], left_out: &Point3, flatness: f64) -> Option<Plane> {
    let others: Vec<Point3> = corners.iter().filter(|p| *p != left_out).copied().collect();
    fit_plane(&others).filter(|(_, miss)| *miss <= flatness).map(|(plane, _)| plane)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn facet(corners: &[[f64; 3]]) -> Vec<Point3> {
        corners.iter().map(|&[x, y, z]| Point3::new(x, y, z)).collect()
    }

    /// A roof rising to the north from 0 at y = 0, 6 in 12, and a lower one that falls to the south from y = 0. The wall between them is
    /// 4 in high at the east end; at the west end the lower roof's corner should stand at -2 and the upper one's at 0, and both stand at -1.
    fn pair(west: f64) -> [Vec<Point3>; 2] {
        [
            facet(&[[0.0, 0.0, west], [120.0, 0.0, 0.0], [120.0, 120.0, 60.0], [0.0, 120.0, 60.0]]),
            facet(&[[0.0, 0.0, west], [0.0, -120.0, -62.0], [120.0, -120.0, -64.0], [120.0, 0.0, -4.0]]),
        ]
    }

    #[test]
    fn a_corner_at_the_mean_is_put_on_both_planes() {
        let mut outlines = pair(-1.0);
        part(&mut outlines, 1.0 / 16.0);
        assert!(outlines[0][0].z.abs() < 1e-9 && (outlines[1][0].z + 2.0).abs() < 1e-9, "{outlines:?}");
        assert_eq!(outlines[0][1..], pair(-1.0)[0][1..]);
    }

    #[test]
    fn a_corner_off_the_mean_stays() {
        let mut outlines = pair(-1.5);
        part(&mut outlines, 1.0 / 16.0);
        assert_eq!(outlines, pair(-1.5));
    }

    #[test]
    fn a_flat_facet_vouches_for_its_corner() {
        let mut outlines = pair(-1.0).to_vec();
        outlines.push(facet(&[[0.0, 0.0, -1.0], [-50.0, 0.0, -1.0], [-50.0, -50.0, -1.0], [0.0, -50.0, -1.0]]));
        let before = outlines.clone();
        part(&mut outlines, 1.0 / 16.0);
        assert_eq!(outlines, before);
    }
}
