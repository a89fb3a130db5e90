//! A POLYLINE and the VERTEX records behind it become one entity.

use super::entity::{Entity, Polyline, Shape, arrow_head, facet};
use super::record::{Read, Record, Refusal};
use crate::geometry::Point3;

/// A POLYLINE on the way to becoming an entity.
pub(super) struct Gathering<'a> {
    /// The entity without its shape.
    pub entity: Entity<'a>,
    flags: i64,
    counts: [i64; 4],
    bulge: f64,
    height: f64,
    points: Vec<(Point3, f64)>,
    /// Widths at the start and end of the piece after each point.
    widths: Vec<[f64; 2]>,
    faces: Vec<[i64; 4]>,
    refusal: Option<Refusal>,
}

impl<'a> Gathering<'a> {
    /// Reads the POLYLINE's own record.
    pub fn start(record: &Record<'a>, entity: Entity<'a>) -> Read<Self> {
        Ok(Self {
            entity,
            flags: record.whole_or(70, 0)?,
            counts: [
                record.whole_or(71, 0)?,
                record.whole_or(72, 0)?,
                record.whole_or(73, 0)?,
                record.whole_or(74, 0)?,
            ],
            bulge: record.real_or(42, 0.0)?,
            height: record.real_or(30, 0.0)?,
            points: Vec::new(),
            widths: Vec::new(),
            faces: Vec::new(),
            refusal: None,
        })
    }

    /// Takes a VERTEX; the first that cannot be read refuses the whole.
    pub fn vertex(&mut self, record: &Record<'a>) {
        if self.refusal.is_none() {
            self.refusal = self.try_vertex(record).err();
        }
    }

    fn try_vertex(&mut self, record: &Record<'a>) -> Read<()> {
        if let Some(refusal) = record.damage_refusal() {
            return Err(refusal);
        }
        if record.cut_short {
            return Err(Refusal::new("truncated", "the file ends inside its vertices"));
        }
        let flags = record.whole_or(70, 0)?;
        if flags & 16 != 0 {
            // A control point of a smoothed curve, not a point on it.
            return Ok(());
        }
        if self.flags & 64 != 0 && flags & 128 != 0 && flags & 64 == 0 {
            let side = |code| record.whole_or(code, 0);
            self.faces.push([side(71)?, side(72)?, side(73)?, side(74)?]);
            return Ok(());
        }
        let width = |code| record.real_or(code, 0.0).unwrap_or(0.0);
        self.widths.push([width(40), width(41)]);
        self.points.push((record.point(10)?, record.real_or(42, self.bulge)?));
        Ok(())
    }

    /// The entity, once the next record is no vertex.
    pub fn finish(mut self) -> Read<Entity<'a>> {
        if let Some(refusal) = self.refusal.take() {
            return Err(refusal);
        }
        self.entity.shape = if self.flags & 64 != 0 {
            self.polyface()?
        } else if self.flags & 16 != 0 {
            self.mesh()?
        } else {
            let in_space = self.flags & 8 != 0;
            let mut vertices = self.points;
            for (point, bulge) in &mut vertices {
                if in_space {
                    *bulge = 0.0;
                } else {
                    // A flat polyline lies at the height of its own record, whatever its vertices say.
                    point.z = self.height;
                }
            }
            let closed = self.flags & 1 != 0;
            let head = if closed { None } else { arrow_head(&vertices, &self.widths) };
            Shape::Polyline(Polyline { vertices, closed, in_space, head })
        };
        Ok(self.entity)
    }

    fn polyface(&self) -> Read<Shape<'a>> {
        let mut facets = Vec::new();
        for face in &self.faces {
            let sides = face.iter().take_while(|&&corner| corner != 0).count();
            let (mut corners, mut drawn) = (Vec::new(), Vec::new());
            for &corner in &face[..sides] {
                let position = usize::try_from(corner.unsigned_abs()).unwrap_or(usize::MAX) - 1;
                let Some(&(point, _)) = self.points.get(position) else {
                    let words = format!("a face names vertex {corner} of {}", self.points.len());
                    return Err(Refusal::new("bad-face", words));
                };
                corners.push(point);
                // A negative number hides the side that starts at its vertex.
                drawn.push(corner > 0);
            }
            if sides >= 3 {
                facets.extend(facet(corners, drawn));
            }
        }
        Ok(Shape::Facets(facets))
    }

    fn mesh(&self) -> Read<Shape<'a>> {
        let smooth = self.points.len() as i64 != self.counts[0].saturating_mul(self.counts[1]);
        let [m, n] = if smooth { [self.counts[2], self.counts[3]] } else { [self.counts[0], self.counts[1]] };
        if m < 2 || n < 2 || m.saturating_mul(n) != self.points.len() as i64 {
            let words = format!("its mesh of {m} by {n} has {} vertices", self.points.len());
            return Err(Refusal::new("bad-mesh", words));
        }
        let (m, n) = (m as usize, n as usize);
        let (rows, columns) =
            (if self.flags & 1 != 0 { m } else { m - 1 }, if self.flags & 32 != 0 { n } else { n - 1 });
        let at = |i: usize, j: usize| self.points[(i % m) * n + j % n].0;
        let mut facets = Vec::new();
        for i in 0..rows {
            for j in 0..columns {
                facets.extend(facet(vec![at(i, j), at(i + 1, j), at(i + 1, j + 1), at(i, j + 1)], vec![true; 4]));
            }
        }
        Ok(Shape::Facets(facets))
    }
}
