//! DXF bytes become [`Linework`].
//!
//! Groups (code and value) become records, records a compact drawing with blocks and curves unexpanded; then the roof is chosen and only
//! that is expanded, flattened and brought into inches. Solid bodies are not read; on a roof layer each is refused
//! by name.

mod arrows;
mod assemble;
mod binary;
mod census;
mod check;
mod choice_words;
mod choose;
mod code_page;
mod curves;
mod drawing;
mod entity;
mod evidence;
mod expand;
mod flatten;
mod framing;
mod grid;
mod group;
mod hatch;
mod layers;
mod ledger;
mod left_figures;
mod mesh;
mod model;
mod pieces;
mod polyline;
mod record;
mod select;
mod sniff;
mod text;
mod units;

pub use census::census;
pub use check::check_invariants;
pub use model::*;

use crate::error::Result;
use crate::finding::{Finding, Outcome, Place, Severity};
use crate::job::DrawingSettings;

/// Reads a drawing.
///
/// Every entity is accounted for in [`DrawingReport::entities`]; one that cannot be read costs itself and a finding, not the drawing.
///
/// # Errors
/// - The bytes are no DXF drawing, or a group code in them is damaged.
/// - The file ends before one entity is complete.
/// - No visible linework can be the roof.
/// - Blocks expand beyond any roof plan.
pub fn import(bytes: &[u8], settings: &DrawingSettings) -> Result<Outcome<Linework>> {
    sniff::sniff(bytes)?;
    let mut ledger = ledger::Ledger::default();
    let drawing = drawing::read(bytes, &mut ledger)?;
    if let Some(words) = &drawing.decoder.doubt {
        let finding = Finding::new(Severity::Warning, "code-page", words, Place::none());
        ledger.add(finding.with_hint("look at the layer names and notes that inspect prints"));
    }
    let linework = assemble::assemble(&drawing, settings, &mut ledger)?;
    Ok(Outcome { value: linework, findings: ledger.close() })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::error::{Class, Error};
    use crate::geometry::{Point2, Point3};
    use crate::units::DrawingUnit;

    /// Groups written as `LINE 8=A-ROOF 10=1.5`; a bare word is a group of code 0. `_` in a value is a blank.
    fn groups(text: &str) -> String {
        text.split_whitespace()
            .map(|word| match word.split_once('=') {
                Some((code, value)) => format!("{code}\n{}\n", value.replace('_', " ")),
                None => format!("0\n{word}\n"),
            })
            .collect()
    }

    fn file(header: &str, tables: &str, blocks: &str, entities: &str) -> Vec<u8> {
        let section = |name: &str, body: &str| format!("SECTION 2={name} {body} ENDSEC ");
        let all = section("HEADER", header) + &section("TABLES", tables) + &section("BLOCKS", blocks);
        groups(&(all + &section("ENTITIES", entities) + "EOF")).into_bytes()
    }

    const INCHES: &str = "9=$ACADVER 1=AC1015 9=$INSUNITS 70=1";
    /// 40 ft by 24 ft with a ridge.
    const GABLE: &str = "LWPOLYLINE 5=2A 8=A-ROOF 90=4 70=1 10=0 20=0 10=480 20=0 10=480 20=288 10=0 20=288 \
        LINE 5=2B 8=A-ROOF 10=0 20=144 11=480 21=144 ";

    fn settings() -> DrawingSettings {
        DrawingSettings { units: None, roof_layers: Vec::new(), gap_tolerance: 0.5, opening_area_limit: 8640.0 }
    }

    fn good(bytes: &[u8]) -> (Linework, Vec<Finding>) {
        let outcome = import(bytes, &settings()).unwrap();
        let broken = check_invariants(&outcome.value);
        assert!(broken.is_empty(), "{broken:?}");
        (outcome.value, outcome.findings)
    }

    fn bad(bytes: &[u8]) -> Error {
        import(bytes, &settings()).unwrap_err()
    }

    fn has(findings: &[Finding], code: &str) -> bool {
        findings.iter().any(|finding| finding.code == code)
    }

    fn ends(path: &Path) -> [(f64, f64); 2] {
        let plan = |p: &Point3| (p.x, p.y);
        [plan(&path.points[0]), plan(&path.points[path.points.len() - 1])]
    }

    #[test]
    fn a_gable_with_everything_around_it() {
        let around = "CIRCLE 8=S-GRID 10=-50 20=0 40=10 TEXT 8=A-ANNO-TEXT 10=100 20=60 40=6 1=PITCH_6:12 \
            DIMENSION 8=A-ANNO-DIMS 2=*D1 TEXT 8=A-ANNO-TEXT 10=5000 20=0 40=6 1=SHEET_1 \
            LINE 8=A-ROOF 67=1 10=0 20=0 11=1 21=1 LINE 8=A-ROOF 60=1 10=0 20=0 11=1 21=1 \
            CIRCLE 8=A-ROOF-VENT 10=60 20=40 40=2 LINE 8=A-WALL 10=12 20=12 11=468 21=12 \
            LINE 8=A-WALL 10=2000 20=12 11=2468 21=12";
        let (linework, findings) = good(&file(INCHES, "", "", &(GABLE.to_owned() + around)));
        let roles: Vec<Role> = linework.paths.iter().map(|path| path.role).collect();
        assert_eq!(roles, [Role::Roof, Role::Wall, Role::Opening(OpeningKind::Vent), Role::Roof]);
        assert_eq!(linework.paths[0].points.len(), 4);
        assert!(linework.paths[0].closed && ends(&linework.paths[3]) == [(0.0, 144.0), (480.0, 144.0)]);
        assert_eq!(linework.notes.iter().map(|n| n.text.as_str()).collect::<Vec<_>>(), ["PITCH 6:12"]);
        let origin = &linework.origins[linework.paths[0].origin.index()];
        assert_eq!(
            (origin.handle.as_deref(), origin.layer.as_str(), origin.entity.as_str()),
            (Some("2A"), "A-ROOF", "LWPOLYLINE")
        );
        let count = |kind: &str| linework.drawing.entities[kind];
        assert_eq!(count("LINE"), EntityCount { seen: 5, used: 2, not_roof: 3, refused: 0 });
        assert_eq!(count("TEXT"), EntityCount { seen: 2, used: 1, not_roof: 1, refused: 0 });
        assert_eq!(count("DIMENSION"), EntityCount { seen: 1, used: 0, not_roof: 1, refused: 0 });
        assert_eq!(findings.iter().map(|f| f.code).collect::<Vec<_>>(), ["roof-chosen"]);
    }

    /// A 40 ft by 24 ft gable with a 30 in square on layer X, a circle of 1 ft radius on Y, a dot, a room and a square beside the roof.
    #[test]
    fn figures_of_an_openings_size_on_other_layers_are_told() {
        let square = |layer: &str, x: f64, y: f64, side: f64| {
            let (right, top) = (x + side, y + side);
            format!(
                " LWPOLYLINE 8={layer} 90=4 70=1 10={x} 20={y} 10={right} 20={y} 10={right} 20={top} 10={x} 20={top}"
            )
        };
        let more = [
            square("X", 100.0, 50.0, 30.0),
            " CIRCLE 8=Y 10=300 20=60 40=12".to_owned(),
            " CIRCLE 8=Y 10=320 20=60 40=1".to_owned(),
            square("X", 10.0, 10.0, 200.0),
            square("X", 700.0, 10.0, 30.0),
            square("TEXT", 100.0, 200.0, 30.0),
        ];
        let (_, findings) = good(&file(INCHES, "", "", &(GABLE.to_owned() + &more.concat())));
        let found: Vec<_> = findings.iter().filter(|finding| finding.code == "figures-not-used").collect();
        assert_eq!(found.len(), 1, "{findings:?}");
        assert_eq!(found[0].severity, Severity::Ignored);
        assert!(found[0].message.contains("X (1), Y (1); the first of 6.2 sq ft"), "{}", found[0].message);
        assert_eq!(found[0].place.layer.as_deref(), Some("X"));
    }

    #[test]
    fn off_and_frozen_layers_are_no_roof() {
        let tables =
            "TABLE 2=LAYER LAYER 2=A-ROOF 70=0 62=7 LAYER 2=A-ROOF-OLD 70=1 62=7 LAYER 2=A-ROOF-ALT 70=0 62=-3 ENDTAB";
        let more = "LINE 8=a-roof-old 10=0 20=0 11=9 21=9 LINE 8=A-ROOF-ALT 10=0 20=0 11=9 21=9";
        let (linework, _) = good(&file(INCHES, tables, "", &(GABLE.to_owned() + more)));
        assert_eq!(linework.paths.len(), 2);
        assert_eq!(linework.drawing.entities["LINE"].not_roof, 2);
    }

    #[test]
    fn a_roof_in_a_block_inherits_layer_and_place() {
        // The block's base (100, 0) goes to (1000, 2000), turned a quarter and twice as large: (x, y) -> (1000 - 2y, 2000 + 2(x - 100)).
        let blocks =
            "BLOCK 2=House 10=100 20=0 LINE 8=0 10=100 20=0 11=340 21=0 LINE 8=A-WALL 10=100 20=6 11=340 21=6 ENDBLK";
        let insert = "INSERT 5=77 8=A-ROOF 2=HOUSE 10=1000 20=2000 41=2 42=2 50=90";
        let (linework, _) = good(&file(INCHES, "", blocks, insert));
        let roof: Vec<&Path> = linework.paths.iter().filter(|path| path.role == Role::Roof).collect();
        assert_eq!(roof.len(), 1);
        let back: Vec<Point3> = roof[0].points.iter().map(|p| linework.frame.to_drawing(*p)).collect();
        assert!(back[0].distance(Point3::new(1000.0, 2000.0, 0.0)) < 1e-9);
        assert!(back[1].distance(Point3::new(1000.0, 2480.0, 0.0)) < 1e-9);
        let origin = &linework.origins[roof[0].origin.index()];
        assert_eq!((origin.layer.as_str(), &origin.block_path), ("A-ROOF", &vec!["House".to_owned()]));
        assert_eq!(roof[0].group, Some(0));
        assert_eq!(linework.drawing.entities["INSERT"].used, 1);
    }

    #[test]
    fn arrays_and_mirrors() {
        let blocks = "BLOCK 2=B 10=0 20=0 LINE 8=0 10=0 20=0 11=10 21=5 ENDBLK";
        let array = "INSERT 8=ROOF 2=B 10=0 20=0 70=3 71=2 44=100 45=50";
        let (linework, _) = good(&file(INCHES, "", blocks, array));
        let lows: Vec<(f64, f64)> = linework.paths.iter().map(|path| ends(path)[0]).collect();
        assert_eq!(lows, [(0.0, 0.0), (100.0, 0.0), (200.0, 0.0), (0.0, 50.0), (100.0, 50.0), (200.0, 50.0)]);
        // A normal straight down mirrors x of the insertion point and of the contents.
        let (mirrored, _) = good(&file(INCHES, "", blocks, "INSERT 8=ROOF 2=B 10=7 20=3 210=0 220=0 230=-1"));
        let back = mirrored.paths[0].points.iter().map(|p| mirrored.frame.to_drawing(*p).plan()).collect::<Vec<_>>();
        assert_eq!(back, [Point2::new(-7.0, 3.0), Point2::new(-17.0, 8.0)]);
    }

    #[test]
    fn blocks_in_themselves_and_missing_blocks_are_refused() {
        let blocks = "BLOCK 2=A 10=0 20=0 LINE 8=0 10=0 20=0 11=9 21=9 INSERT 8=0 2=B 10=0 20=0 ENDBLK \
            BLOCK 2=B 10=0 20=0 INSERT 8=0 2=A 10=5 20=5 ENDBLK";
        let more = "INSERT 8=A-ROOF 2=A 10=0 20=0 INSERT 8=A-ROOF 2=NONE 10=0 20=0 INSERT 8=A-ROOF 2=A 10=0 20=0 41=0";
        let (linework, findings) = good(&file(INCHES, "", blocks, &(GABLE.to_owned() + more)));
        assert_eq!(linework.paths.len(), 3);
        assert!(has(&findings, "block-cycle") && has(&findings, "unknown-block") && has(&findings, "zero-scale"));
    }

    #[test]
    fn a_block_bomb_ends_in_an_error() {
        let mut blocks = "BLOCK 2=B0 10=0 20=0 LINE 8=0 10=0 20=0 11=9 21=9 ENDBLK ".to_owned();
        for level in 1..40 {
            let inner = level - 1;
            blocks += &format!("BLOCK 2=B{level} 10=0 20=0 INSERT 8=0 2=B{inner} 10=0 20=0 70=10 44=1 ENDBLK ");
        }
        let error = bad(&file(INCHES, "", &blocks, "INSERT 8=ROOF 2=B39 10=0 20=0"));
        assert_eq!((error.code, error.class), ("too-large", Class::Unreadable));
        let array = "INSERT 8=ROOF 2=B0 10=0 20=0 70=32767 71=32767 44=1 45=1";
        assert_eq!(bad(&file(INCHES, "", &blocks, array)).code, "too-large");
        // The same bomb on a layer that is no roof is never entered.
        good(&file(INCHES, "", &blocks, &(GABLE.to_owned() + "INSERT 8=TREES 2=B39 10=0 20=0")));
    }

    #[test]
    fn a_bad_number_costs_its_entity_and_names_its_line() {
        let bytes = file(INCHES, "", "", &(GABLE.to_owned() + "LINE 5=99 8=A-ROOF 10=nan 20=0 11=1 21=1"));
        let (linework, findings) = good(&bytes);
        assert_eq!(linework.drawing.entities["LINE"], EntityCount { seen: 2, used: 1, not_roof: 0, refused: 1 });
        let finding = findings.iter().find(|finding| finding.code == "bad-number").unwrap();
        let text = String::from_utf8(bytes).unwrap();
        assert_eq!(text.lines().nth(finding.place.line.unwrap() - 1), Some("nan"));
        assert_eq!(finding.place.handle.as_deref(), Some("99"));
    }

    #[test]
    fn heights_win_over_lines() {
        let faces = "3DFACE 8=ROOF-3D 10=0 20=0 30=100 11=480 21=0 31=100 12=480 22=144 32=172 13=0 23=144 33=172 \
            3DFACE 8=ROOF-3D 10=0 20=144 30=172 11=480 21=144 31=172 12=0 22=288 32=100 13=0 23=288 33=100 ";
        let (linework, findings) = good(&file(INCHES, "", "", &(GABLE.to_owned() + faces)));
        assert_eq!((linework.facets.len(), linework.paths.len()), (2, 0));
        assert_eq!((linework.facets[0].points.len(), linework.facets[1].points.len()), (4, 3));
        assert!(has(&findings, "facets-used"));
        // Level faces are only their drawn sides: bit 1 hides the second one.
        let flat = "3DFACE 8=ROOF 70=2 10=0 20=0 11=480 21=0 12=480 22=144 13=0 23=144";
        let (linework, _) = good(&file(INCHES, "", "", flat));
        assert_eq!((linework.facets.len(), linework.paths.len()), (0, 3));
    }

    #[test]
    fn old_polylines_with_bulges_meshes_and_polyfaces() {
        let old = "POLYLINE 5=1 8=ROOF 66=1 70=1 10=0 20=0 30=96 VERTEX 8=ROOF 10=0 20=0 42=1 VERTEX 8=ROOF 10=200 20=0 \
            VERTEX 8=ROOF 10=200 20=100 SEQEND 8=ROOF";
        let (linework, _) = good(&file(INCHES, "", "", old));
        let path = &linework.paths[0];
        let lowest = path.points.iter().map(|p| p.y).fold(0.0, f64::min);
        // A half circle of radius 100 below the chord, every point at the polyline's own height.
        assert!(path.closed && (lowest + 100.0).abs() < 1.0 / 16.0 && path.points.iter().all(|p| p.z == 96.0));
        let polyface = "POLYLINE 8=ROOF 66=1 70=64 VERTEX 70=192 10=0 20=0 30=0 VERTEX 70=192 10=240 20=0 30=0 \
            VERTEX 70=192 10=240 20=100 30=50 VERTEX 70=128 10=0 20=0 71=1 72=2 73=-3 SEQEND";
        assert_eq!(good(&file(INCHES, "", "", polyface)).0.facets.len(), 1);
        let mesh = "POLYLINE 8=ROOF 66=1 70=16 71=2 72=2 VERTEX 70=64 10=0 20=0 30=0 VERTEX 70=64 10=0 20=100 30=50 \
            VERTEX 70=64 10=240 20=0 30=0 VERTEX 70=64 10=240 20=100 30=50 SEQEND";
        assert_eq!(good(&file(INCHES, "", "", mesh)).0.facets[0].points.len(), 4);
        let lost = "VERTEX 8=ROOF 10=0 20=0 POLYLINE 8=ROOF 66=1 70=64 VERTEX 70=128 71=9 72=1 73=2 SEQEND";
        let (_, findings) = good(&file(INCHES, "", "", &(GABLE.to_owned() + lost)));
        assert!(has(&findings, "vertex-alone") && has(&findings, "bad-face"));
    }

    #[test]
    fn without_layer_names_the_largest_figure_is_the_roof() {
        let plain = GABLE.replace("A-ROOF", "0");
        let shed = "LWPOLYLINE 8=0 70=1 10=700 20=0 10=800 20=0 10=800 20=100 10=700 20=100 ";
        let frame = "LWPOLYLINE 8=0 70=1 10=-200 20=-200 10=1000 20=-200 10=1000 20=600 10=-200 20=600 ";
        let (linework, findings) = good(&file(INCHES, "", "", &(plain + shed + frame)));
        assert_eq!(linework.paths.len(), 2);
        assert!(has(&findings, "roof-by-size"));
        let words: Vec<&str> = linework.drawing.candidates.iter().map(|c| c.words.as_str()).collect();
        assert_eq!(words, ["largest connected figure", "connected figure 2", "sheet frame"]);
        assert!(linework.drawing.candidates[0].chosen && !linework.drawing.candidates[1].chosen);
    }

    /// A row of rafters 2 in wide, 24 in on centre and 300 in long between two plates, from `x` on.
    fn rafters(x: u32, layer: &str) -> String {
        let line = |a: u32, b: u32, c: u32, d: u32| format!("LINE 8={layer} 10={a} 20={b} 11={c} 21={d} ");
        let rafters = (0..30).map(|i| x + 24 * i).flat_map(|at| [line(at, 0, at, 300), line(at + 2, 0, at + 2, 300)]);
        rafters.collect::<String>() + &line(x, 0, x + 698, 0) + &line(x, 300, x + 698, 300)
    }

    #[test]
    fn framing_is_no_roof_unless_the_job_says_so() {
        for layer in ["ROOF", "0"] {
            let error = bad(&file(INCHES, "", "", &rafters(0, layer)));
            assert_eq!((error.code, error.class), ("framing", Class::Refused));
            assert!(error.message.contains("30 strips") && error.message.contains(&format!("{layer} (62)")), "{error}");
        }
        let named = DrawingSettings { roof_layers: vec!["ROOF".into()], ..settings() };
        let outcome = import(&file(INCHES, "", "", &rafters(0, "ROOF")), &named).unwrap();
        assert!(outcome.value.paths.len() == 62 && has(&outcome.findings, "framing"));
        // The smaller house beside them is the roof.
        let house = GABLE.replace("A-ROOF", "HOUSE");
        let (linework, findings) = good(&file(INCHES, "", "", &(house + &rafters(2000, "FRAME"))));
        assert_eq!(linework.paths.len(), 2);
        let words = &findings.iter().find(|finding| finding.code == "roof-by-size").unwrap().message;
        assert!(words.contains("on HOUSE"), "{words}");
    }

    #[test]
    fn hidden_roof_layers_are_named() {
        let tables = "TABLE 2=LAYER LAYER 2=A-ROOF 70=1 62=7 ENDTAB";
        let visible = GABLE.replace("A-ROOF", "0");
        let more = visible.clone() + "LINE 8=A-ROOF 10=0 20=0 11=9 21=9";
        let error = bad(&file(INCHES, tables, "", &more));
        assert!(error.code == "no-roof" && error.message.contains("off or frozen: A-ROOF (1)"), "{error:?}");
        // A hidden layer that holds nothing hides no roof.
        let (linework, _) = good(&file(INCHES, tables, "", &visible));
        assert_eq!(linework.paths.len(), 2);
    }

    #[test]
    fn globs_of_the_job_choose_the_layers() {
        let bytes = file(INCHES, "", "", &GABLE.replace("A-ROOF", "X-17"));
        let named = DrawingSettings { roof_layers: vec!["x-*".into()], ..settings() };
        assert_eq!(import(&bytes, &named).unwrap().value.paths.len(), 2);
        let wrong = DrawingSettings { roof_layers: vec!["y-*".into()], ..settings() };
        let error = import(&bytes, &wrong).unwrap_err();
        assert_eq!((error.code, error.class), ("no-roof", Class::Refused));
        assert!(error.message.contains("y-*") && error.message.contains("X-17 (2)"), "{error}");
    }

    #[test]
    fn entity_order_and_direction_do_not_matter() {
        let one = "LINE 8=ROOF 10=0 20=0 11=480 21=0 LINE 8=ROOF 10=480 20=0 11=480 21=288 CIRCLE 8=ROOF 10=100 20=100 40=30 \
            LWPOLYLINE 8=ROOF 70=1 10=50 20=50 10=90 20=50 10=90 20=90";
        let other = "LWPOLYLINE 8=ROOF 70=1 10=90 20=90 10=90 20=50 10=50 20=50 CIRCLE 8=ROOF 10=100 20=100 40=30 \
            LINE 8=ROOF 10=480 20=288 11=480 21=0 LINE 8=ROOF 10=480 20=0 11=0 21=0";
        let (a, b) = (good(&file(INCHES, "", "", one)).0, good(&file(INCHES, "", "", other)).0);
        let points = |linework: &Linework| linework.paths.iter().map(|p| p.points.clone()).collect::<Vec<_>>();
        assert_eq!(points(&a), points(&b));
    }

    #[test]
    fn far_origins_lose_no_digit() {
        let far = "LINE 8=ROOF 10=2196301.25 20=-713004.5 11=2196341.25 21=-712980.125";
        let header = "9=$ACADVER 1=AC1015 9=$INSUNITS 70=2";
        let (linework, _) = good(&file(header, "", "", far));
        assert_eq!(linework.frame.units, DrawingUnit::Feet);
        assert_eq!((linework.frame.origin.x, linework.frame.origin.y), (2_196_301.0, -712_980.0));
        assert_eq!(ends(&linework.paths[0]), [(3.0, -24.5 * 12.0), (483.0, -1.5)]);
    }

    #[test]
    fn cut_files_give_what_is_complete() {
        let whole = String::from_utf8(file(INCHES, "", "", GABLE)).unwrap();
        let at = whole.rfind("11\n480").unwrap();
        let (linework, findings) = good(&whole.as_bytes()[..at]);
        assert_eq!(linework.paths.len(), 1);
        assert_eq!(linework.drawing.entities["LINE"].refused, 1);
        assert!(findings.iter().filter(|finding| finding.code == "truncated").count() == 2);
        let early = whole.find("LWPOLYLINE").unwrap();
        let error = bad(&whole.as_bytes()[..early]);
        assert_eq!((error.code, error.class), ("truncated", Class::Unreadable));
    }

    /// Whatever prefix of a file is read, nothing panics and every entity is accounted for.
    #[test]
    fn every_prefix_is_survived() {
        let blocks = "BLOCK 2=B 10=0 20=0 LINE 8=0 10=0 20=0 11=10 21=5 ENDBLK";
        let more = "INSERT 8=A-ROOF 2=B 10=0 20=0 MTEXT 8=T 10=9 20=9 40=6 1=A\\PB LEADER 8=T 71=1 73=3 76=2 10=99 20=0 10=99 20=60";
        let whole = file(INCHES, "", blocks, &(GABLE.to_owned() + more));
        for end in 0..whole.len() {
            if let Ok(outcome) = import(&whole[..end], &settings()) {
                assert_eq!(check_invariants(&outcome.value), Vec::<String>::new(), "{end}");
            }
        }
        let (linework, _) = good(&whole);
        assert_eq!((linework.notes.len(), linework.arrows.len()), (2, 1));
        assert_eq!(
            (linework.arrows[0].tail, linework.arrows[0].head),
            (Point2::new(99.0, 60.0), Point2::new(99.0, 0.0))
        );
    }

    /// On a 40 ft gable: a block, a polyline that narrows, a line with a solid, and a pointer that says what it points to.
    #[test]
    fn slope_arrows_of_every_kind() {
        let blocks = "BLOCK 2=SLOPE_ARROW 10=0 20=0 LINE 8=0 10=0 20=0 11=40 21=0 SOLID 8=0 10=40 20=4 11=40 21=-4 12=50 22=0 13=50 23=0 ENDBLK \
            BLOCK 2=ARROW2 10=0 20=0 CIRCLE 8=0 10=0 20=0 40=5 ENDBLK";
        let arrows = "INSERT 8=A-ROOF 2=SLOPE_ARROW 10=100 20=100 50=270 INSERT 8=A-ROOF 2=ARROW2 10=400 20=200 \
            LWPOLYLINE 8=X 70=0 10=200 20=200 10=200 20=240 40=6 41=0 10=200 20=260 \
            LINE 8=A-ANNO 10=300 20=100 11=300 21=60 SOLID 8=A-ANNO 10=296 20=60 11=304 21=60 12=300 22=50 13=300 23=50 \
            LINE 8=A-ANNO 10=350 20=100 11=350 21=60 SOLID 8=A-ANNO 10=346 20=60 11=354 21=60 12=350 22=50 13=350 23=50 \
            TEXT 8=A-ANNO 10=352 20=102 40=6 1=FLASHING TEXT 8=A-ANNO 10=302 20=102 40=6 1=SLOPE_6:12";
        let (linework, findings) = good(&file(INCHES, "", blocks, &(GABLE.to_owned() + arrows)));
        let mut found: Vec<_> = linework.arrows.iter().map(|a| (a.tail.x, a.tail.y, a.head.x, a.head.y)).collect();
        found.sort_by(|a, b| a.0.total_cmp(&b.0));
        assert_eq!(found.len(), 3, "{found:?}");
        assert!((found[0].1 - 100.0).abs() < 1e-9 && (found[0].3 - 60.0).abs() < 1e-9, "{found:?}");
        assert_eq!(found[1..], [(200.0, 200.0, 200.0, 260.0), (300.0, 100.0, 300.0, 60.0)]);
        assert_eq!(linework.paths.len(), 2);
        assert!(has(&findings, "arrow-unclear"));
        assert_eq!(linework.drawing.entities["SOLID"], EntityCount { seen: 3, used: 2, not_roof: 1, refused: 0 });
    }

    #[test]
    fn hatches_are_outlines_only_where_nothing_else_is() {
        let hatch = "HATCH 8=A-ROOF 91=1 92=3 72=0 73=1 93=4 10=0 20=0 10=480 20=0 10=480 20=288 10=0 20=288 97=0 ";
        let (linework, findings) = good(&file(INCHES, "", "", &(GABLE.to_owned() + hatch)));
        assert_eq!((linework.paths.len(), linework.drawing.entities["HATCH"].not_roof), (2, 1));
        assert!(!has(&findings, "hatch-outline"));
        for layer in ["A-ROOF", "0"] {
            let (linework, findings) = good(&file(INCHES, "", "", &hatch.replace("A-ROOF", layer)));
            assert_eq!((linework.paths.len(), linework.drawing.entities["HATCH"].used), (1, 1));
            assert!(linework.paths[0].closed && has(&findings, "hatch-outline"));
        }
    }

    /// One line taken out anywhere costs at most two entities, and no coordinate is ever another one's.
    #[test]
    fn a_lost_line_costs_its_entity() {
        let line = |n: usize| format!("LINE 5={n}A 8=A-ROOF 10={}.25 20=7.5 11={}.75 21=99.5 ", n * 100, n * 100 + 50);
        let whole = String::from_utf8(file(INCHES, "", "", &(0..5).map(line).collect::<String>())).unwrap();
        let lines: Vec<&str> = whole.lines().collect();
        let start = lines.iter().position(|text| *text == "LINE").unwrap();
        for lost in start..lines.len() - 4 {
            let text = [&lines[..lost], &lines[lost + 1..]].concat().join("\n");
            let (linework, findings) = good(text.as_bytes());
            assert!(linework.paths.len() >= 3, "{lost}: {} paths", linework.paths.len());
            assert!(linework.paths.len() < 5 && findings.iter().any(|f| f.severity == Severity::Warning), "{lost}");
            for path in &linework.paths {
                let ends: Vec<Point3> = path.points.iter().map(|p| linework.frame.to_drawing(*p)).collect();
                assert!(
                    (ends[1].x - ends[0].x - 50.5).abs() < 1e-9 && (ends[1].y - 99.5).abs() < 1e-9,
                    "{lost}: {ends:?}"
                );
            }
        }
    }

    #[test]
    fn decimal_commas_are_read_when_all_are() {
        let bytes = |text: &str| text.replace("480", "480,5").into_bytes();
        let whole = String::from_utf8(file(INCHES, "", "", GABLE)).unwrap();
        let (linework, findings) = good(&bytes(&whole));
        assert!(linework.paths[0].points.contains(&Point3::new(480.5, 0.0, 0.0)) && has(&findings, "decimal-comma"));
        let mixed = file(INCHES, "", "", &(GABLE.to_owned() + "LINE 8=A-ROOF 10=1,5 20=0.5 11=2 21=2"));
        let (linework, findings) = good(&mixed);
        assert!(linework.paths.len() == 2 && has(&findings, "bad-number") && !has(&findings, "decimal-comma"));
    }

    #[test]
    fn closed_polylines_in_space_are_faces_and_other_heights_are_said_to_be_lost() {
        let vertex = |x: f64, y: f64, z: f64| format!("VERTEX 8=ROOF 70=32 10={x} 20={y} 30={z} ");
        let face = |y: f64| {
            let (low, high) =
                (vertex(0.0, y, 0.0) + &vertex(480.0, y, 0.0), vertex(480.0, 144.0, 72.0) + &vertex(0.0, 144.0, 72.0));
            format!("POLYLINE 8=ROOF 66=1 70=9 {low}{high}SEQEND ")
        };
        let (linework, findings) = good(&file(INCHES, "", "", &(face(0.0) + &face(288.0))));
        assert_eq!((linework.facets.len(), linework.paths.len()), (2, 0));
        assert!(!has(&findings, "heights-not-used"));
        // A ridge line beside them leaves it open which of both is the roof: they are lines, and their heights are said to be lost.
        let ridge = "LINE 8=ROOF 10=0 20=144 30=72 11=480 21=144 31=72 ";
        let (linework, findings) = good(&file(INCHES, "", "", &(face(0.0) + &face(288.0) + ridge)));
        assert_eq!((linework.facets.len(), linework.paths.len()), (0, 3));
        let finding = findings.iter().find(|finding| finding.code == "heights-not-used").unwrap();
        assert!(finding.message.contains("6'-0\""), "{}", finding.message);
    }

    #[test]
    fn a_body_on_a_roof_layer_is_refused_aloud() {
        let (linework, findings) =
            good(&file(INCHES, "", "", &(GABLE.to_owned() + "3DSOLID 8=A-ROOF 3DSOLID 8=OTHER")));
        let count = EntityCount { seen: 2, used: 0, not_roof: 1, refused: 1 };
        assert!(linework.drawing.entities["3DSOLID"] == count && has(&findings, "kind-not-read"));
    }
}
