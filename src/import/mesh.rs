//! A MESH becomes its facets.
//!
//! # Source
//! DXF reference, "MESH": 91 level of smoothing, 92 number of vertices, 93 size of the face list, 90 its numbers (how many corners, then
//! their positions from zero, face after face).

use super::entity::{Shape, facet};
use super::group::Group;
use super::record::{Read, Record, Refusal, number};
use crate::geometry::Point3;

/// Reads a MESH. One with a level of smoothing has another surface than its corners, and is refused.
pub(super) fn read_mesh<'a>(record: &Record<'a>) -> Read<Shape<'a>> {
    if record.whole_or(91, 0)? > 0 {
        return Err(Refusal::new("smooth-mesh", "it is a smoothed mesh, whose surface is not that of its corners"));
    }
    let groups = &record.groups;
    let wrong = |words: String| Refusal::new("bad-mesh", words);
    let after = |code: i32| {
        let at = groups.iter().position(|group| group.code == code)?;
        Some((groups[at].whole()?, &groups[at + 1..]))
    };
    let (count, mut rest) =
        after(92).ok_or_else(|| wrong("its number of vertices (group code 92) is missing".into()))?;
    let mut points = Vec::new();
    while let [x, y, z, more @ ..] = rest
        && (x.code, y.code, z.code) == (10, 20, 30)
    {
        points.push(Point3::new(number(x)?, number(y)?, number(z)?));
        rest = more;
    }
    if count != points.len() as i64 {
        return Err(wrong(format!("it counts {count} vertices and has {}", points.len())));
    }
    let (size, list) = after(93).ok_or_else(|| wrong("its face list (group code 93) is missing".into()))?;
    let list: Vec<&Group> = list.iter().take_while(|group| group.code == 90).collect();
    if size != list.len() as i64 {
        return Err(wrong(format!("its face list counts {size} numbers and has {}", list.len())));
    }
    let mut facets = Vec::new();
    let mut list = list.into_iter();
    while let Some(corners) = list.next() {
        let count = corners.whole().unwrap_or(-1);
        if count < 3 || count > list.len() as i64 {
            return Err(wrong(format!("a face has {count} corners, {} numbers follow", list.len())));
        }
        let own = list.by_ref().take(count as usize).map(|group| {
            let position = group.whole().and_then(|position| usize::try_from(position).ok());
            let point = position.and_then(|position| points.get(position)).copied();
            point.ok_or_else(|| wrong(format!("a face names a vertex that is not among its {}", points.len())))
        });
        let own = own.collect::<Read<Vec<Point3>>>()?;
        let drawn = vec![true; own.len()];
        facets.extend(facet(own, drawn));
    }
    Ok(Shape::Facets(facets))
}

#[cfg(test)]
mod tests {
    use super::super::group::Decimals;
    use super::super::record::Records;
    use super::*;

    fn read(groups: &str) -> Read<usize> {
        let text: String = groups
            .split_whitespace()
            .map(|word| word.split_once('=').map_or(format!("0\n{word}\n"), |(c, v)| format!("{c}\n{v}\n")))
            .collect();
        let mut records = Records::new(text.as_bytes(), Decimals::Points);
        let mut record = Record::empty();
        records.read(&mut record).unwrap();
        match read_mesh(&record)? {
            Shape::Facets(facets) => Ok(facets.iter().map(|facet| facet.corners.len()).sum()),
            other => panic!("{other:?}"),
        }
    }

    #[test]
    fn faces_of_three_and_four_corners() {
        let corners =
            "MESH 71=2 72=0 91=0 92=5 10=0 20=0 30=0 10=9 20=0 30=0 10=9 20=5 30=3 10=0 20=5 30=3 10=0 20=9 30=0";
        assert_eq!(read(&format!("{corners} 93=9 90=4 90=0 90=1 90=2 90=3 90=3 90=3 90=2 90=4 94=0 95=0 EOF")), Ok(7));
        for list in
            ["93=2000000000 90=3 90=0 90=1 90=2", "93=4 90=3 90=0 90=1 90=5", "93=2 90=7 90=0", "93=1 90=-3", ""]
        {
            assert_eq!(read(&format!("{corners} {list} EOF")).unwrap_err().code, "bad-mesh", "{list}");
        }
        assert_eq!(read("MESH 91=0 92=2 10=0 20=0 30=0 93=0 EOF").unwrap_err().code, "bad-mesh");
        assert_eq!(read("MESH 91=2 92=0 93=0 EOF").unwrap_err().code, "smooth-mesh");
    }
}
