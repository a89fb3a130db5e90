//! Draws the sample plans: `cargo run --example make-samples` writes them anew, and a test compares them with the files here.
//!
//! The houses are a scenario of our own. The drawings are plain R12 DXF, as an old drafting program would leave them.

use std::fmt::Write;

/// A drawing under construction: lines of group codes.
#[derive(Default)]
struct Drawing {
    blocks: String,
    entities: String,
}

/// A point in drawing units.
type P = (f64, f64);

impl Drawing {
    fn line(&mut self, layer: &str, a: P, b: P) {
        let e = &mut self.entities;
        pair(e, 0, "LINE");
        pair(e, 8, layer);
        point(e, 10, a);
        point(e, 11, b);
    }

    fn polyline(&mut self, layer: &str, points: &[P]) {
        polyline(&mut self.entities, layer, points);
    }

    fn text(&mut self, layer: &str, at: P, height: f64, content: &str) {
        let e = &mut self.entities;
        pair(e, 0, "TEXT");
        pair(e, 8, layer);
        point(e, 10, at);
        real(e, 40, height);
        pair(e, 1, content);
    }

    fn insert(&mut self, layer: &str, block: &str, at: P, scale: f64) {
        let e = &mut self.entities;
        pair(e, 0, "INSERT");
        pair(e, 8, layer);
        pair(e, 2, block);
        point(e, 10, at);
        real(e, 41, scale);
        real(e, 42, scale);
        real(e, 43, 1.0);
    }

    fn block(&mut self, name: &str, outline: &[P]) {
        let b = &mut self.blocks;
        pair(b, 0, "BLOCK");
        pair(b, 8, "0");
        pair(b, 2, name);
        pair(b, 70, "0");
        point(b, 10, (0.0, 0.0));
        polyline(b, "0", outline);
        pair(b, 0, "ENDBLK");
        pair(b, 8, "0");
    }

    /// The whole file, with the layers and, when known, the unit (an `$INSUNITS` code) in it.
    fn finish(self, layers: &[&str], unit: Option<&str>) -> String {
        let mut out = String::new();
        pair(&mut out, 999, "sample roof plan for eavesdraft: an invented house");
        section(&mut out, "HEADER", |out| {
            pair(out, 9, "$ACADVER");
            pair(out, 1, "AC1009");
            if let Some(code) = unit {
                pair(out, 9, "$INSUNITS");
                pair(out, 70, code);
            }
        });
        section(&mut out, "TABLES", |out| {
            pair(out, 0, "TABLE");
            pair(out, 2, "LAYER");
            pair(out, 70, &(layers.len() + 1).to_string());
            for layer in std::iter::once(&"0").chain(layers) {
                pair(out, 0, "LAYER");
                pair(out, 2, layer);
                pair(out, 70, "0");
                pair(out, 62, "7");
                pair(out, 6, "CONTINUOUS");
            }
            pair(out, 0, "ENDTAB");
        });
        section(&mut out, "BLOCKS", |out| out.push_str(&self.blocks));
        section(&mut out, "ENTITIES", |out| out.push_str(&self.entities));
        pair(&mut out, 0, "EOF");
        out
    }
}

fn pair(out: &mut String, code: u32, value: &str) {
    writeln!(out, "{code:>3}\n{value}").expect("writing to a string");
}

fn real(out: &mut String, code: u32, value: f64) {
    let text = format!("{value:.6}");
    let text = text.trim_end_matches('0');
    pair(out, code, &if text.ends_with('.') { format!("{text}0") } else { text.to_owned() });
}

fn point(out: &mut String, code: u32, at: P) {
    real(out, code, at.0);
    real(out, code + 10, at.1);
    real(out, code + 20, 0.0);
}

fn polyline(out: &mut String, layer: &str, points: &[P]) {
    pair(out, 0, "POLYLINE");
    pair(out, 8, layer);
    pair(out, 66, "1");
    point(out, 10, (0.0, 0.0));
    pair(out, 70, "1");
    for &at in points {
        pair(out, 0, "VERTEX");
        pair(out, 8, layer);
        point(out, 10, at);
    }
    pair(out, 0, "SEQEND");
    pair(out, 8, layer);
}

fn section(out: &mut String, name: &str, body: impl FnOnce(&mut String)) {
    pair(out, 0, "SECTION");
    pair(out, 2, name);
    body(out);
    pair(out, 0, "ENDSEC");
}

/// A plain gable: eave edge 40 ft by 24 ft, ridge along the length, 6:12, walls 12 in inside the eaves.
pub fn gable() -> String {
    let mut d = Drawing::default();
    let (length, width) = (480.0, 288.0);
    d.polyline("A-ROOF-OTLN", &[(0.0, 0.0), (length, 0.0), (length, width), (0.0, width)]);
    d.line("A-ROOF-RIDG", (0.0, width / 2.0), (length, width / 2.0));
    d.text("A-ROOF-NOTE", (200.0, 64.0), 9.0, "6:12");
    d.text("A-ROOF-NOTE", (200.0, 216.0), 9.0, "6:12");
    d.polyline("A-WALL", &[(12.0, 12.0), (length - 12.0, 12.0), (length - 12.0, width - 12.0), (12.0, width - 12.0)]);
    d.finish(&["A-ROOF-OTLN", "A-ROOF-RIDG", "A-ROOF-NOTE", "A-WALL"], Some("1"))
}

/// Corners of the L, inches: outline 0..=5 counter-clockwise, then the ends of the two ridges.
///
/// Main wing 44 ft by 24 ft along x; the second wing, 20 ft wide, runs 18 ft towards -y from its right end. All faces 6:12, so
/// hips and the valley run at 45 degrees in plan.
const L: [P; 10] = [
    (288.0, -216.0),
    (528.0, -216.0),
    (528.0, 288.0),
    (0.0, 288.0),
    (0.0, 0.0),
    (288.0, 0.0),
    (408.0, -96.0),
    (408.0, 120.0),
    (384.0, 144.0),
    (144.0, 144.0),
];

/// Hips, ridges and the valley of the L by corner numbers, with their layer.
const L_FOLDS: [(&str, usize, usize); 9] = [
    ("A-ROOF-HIPS", 0, 6),
    ("A-ROOF-HIPS", 1, 6),
    ("A-ROOF-RIDG", 6, 7),
    ("A-ROOF-VLLY", 5, 7),
    ("A-ROOF-HIPS", 7, 8),
    ("A-ROOF-HIPS", 2, 8),
    ("A-ROOF-RIDG", 8, 9),
    ("A-ROOF-HIPS", 3, 9),
    ("A-ROOF-HIPS", 4, 9),
];

const L_LAYERS: [&str; 7] =
    ["A-ROOF-OTLN", "A-ROOF-HIPS", "A-ROOF-RIDG", "A-ROOF-VLLY", "A-ROOF-NOTE", "A-ROOF-SKYL", "A-ANNO-DIMS"];

/// Pitch notes of the L: one in each face.
const L_NOTES: [P; 6] = [(395.0, -180.0), (470.0, 0.0), (260.0, 230.0), (40.0, 140.0), (150.0, 70.0), (330.0, -100.0)];

/// The L with hips, a valley and a skylight near the eave, drawn cleanly in inches.
pub fn hipped_l() -> String {
    let mut d = Drawing::default();
    d.block("SKYLIGHT-22X30", &[(0.0, 0.0), (22.0, 0.0), (22.0, 30.0), (0.0, 30.0)]);
    d.polyline("A-ROOF-OTLN", &L[..6]);
    for (layer, a, b) in L_FOLDS {
        d.line(layer, L[a], L[b]);
    }
    d.insert("A-ROOF-SKYL", "SKYLIGHT-22X30", (120.0, 30.0), 1.0);
    for at in L_NOTES {
        d.text("A-ROOF-NOTE", at, 9.0, "6:12");
    }
    d.text("A-ANNO-DIMS", (240.0, 306.0), 9.0, "44'-0\"");
    d.finish(&L_LAYERS, Some("1"))
}

/// The same L in metres, away from the origin, as a hurried hand leaves it: ends a few millimetres off, an overshoot at the
/// valley, the back eave in two overlapping pieces, one hip drawn twice.
pub fn hipped_l_metric() -> String {
    let metres = |p: P| (120.0 + p.0 * 0.0254, 45.0 + p.1 * 0.0254);
    let off = |p: P, dx: f64, dy: f64| (p.0 + dx, p.1 + dy);
    let mut d = Drawing::default();
    d.block("SKYLIGHT-22X30", &[(0.0, 0.0), (0.5588, 0.0), (0.5588, 0.762), (0.0, 0.762)]);
    for corner in 0..6 {
        let (a, b) = (metres(L[corner]), metres(L[(corner + 1) % 6]));
        if corner == 2 {
            // The back eave: two pieces that overlap.
            d.line("A-ROOF-OTLN", a, metres((200.0, 288.0)));
            d.line("A-ROOF-OTLN", metres((240.0, 288.0)), b);
        } else {
            // Each end misses its corner by up to 3 mm, never by the same amount.
            let n = corner as f64;
            d.line("A-ROOF-OTLN", off(a, 0.001 + 0.0003 * n, -0.001), off(b, -0.0005, 0.002 - 0.0002 * n));
        }
    }
    for (layer, a, b) in L_FOLDS {
        let (from, to) = (metres(L[a]), metres(L[b]));
        match layer {
            // The valley runs 8 mm past the ridge.
            "A-ROOF-VLLY" => d.line(layer, from, off(to, 0.006, 0.006)),
            _ => d.line(layer, off(from, -0.001, 0.0015), off(to, 0.0012, 0.0)),
        }
    }
    d.line("A-ROOF-HIPS", metres(L[3]), metres(L[9]));
    d.insert("A-ROOF-SKYL", "SKYLIGHT-22X30", metres((120.0, 30.0)), 1.0);
    for at in L_NOTES {
        d.text("A-ROOF-NOTE", metres(at), 0.23, "6:12");
    }
    d.text("A-ANNO-DIMS", metres((240.0, 306.0)), 0.23, "13.41");
    d.finish(&L_LAYERS, None)
}

/// A gabled house with a gabled wing of another pitch, an old roof: chimney on the ridge, skylight in the band of heat.
///
/// Main part 40 ft by 24 ft at 6:12, ridge 6 ft up. The wing is 16 ft wide at 8:12, its ridge 5'-4" up, so it runs 10'-8" into the main
/// slope, and each valley goes 8 ft along and 10'-8" up the plan: off 45 degrees.
pub fn cross_gable() -> String {
    let mut d = Drawing::default();
    d.block("SKYLIGHT-22X30", &[(0.0, 0.0), (22.0, 0.0), (22.0, 30.0), (0.0, 30.0)]);
    d.block("CHIMNEY-24X24", &[(0.0, 0.0), (24.0, 0.0), (24.0, 24.0), (0.0, 24.0)]);
    let outline = [
        (144.0, -120.0),
        (336.0, -120.0),
        (336.0, 0.0),
        (480.0, 0.0),
        (480.0, 288.0),
        (0.0, 288.0),
        (0.0, 0.0),
        (144.0, 0.0),
    ];
    d.polyline("A-ROOF-OTLN", &outline);
    d.line("A-ROOF-RIDG", (0.0, 144.0), (480.0, 144.0));
    d.line("A-ROOF-RIDG", (240.0, -120.0), (240.0, 128.0));
    d.line("A-ROOF-VLLY", (144.0, 0.0), (240.0, 128.0));
    d.line("A-ROOF-VLLY", (336.0, 0.0), (240.0, 128.0));
    d.insert("A-ROOF-SKYL", "SKYLIGHT-22X30", (300.0, 222.0), 1.0);
    d.insert("A-ROOF-CHIM", "CHIMNEY-24X24", (72.0, 132.0), 1.0);
    for (at, pitch) in
        [((60.0, 70.0), "6:12"), ((120.0, 230.0), "6:12"), ((180.0, -60.0), "8:12"), ((290.0, -60.0), "8:12")]
    {
        d.text("A-ROOF-NOTE", at, 9.0, pitch);
    }
    d.finish(&["A-ROOF-OTLN", "A-ROOF-RIDG", "A-ROOF-VLLY", "A-ROOF-NOTE", "A-ROOF-SKYL", "A-ROOF-CHIM"], Some("1"))
}

/// File names under `samples/` with their contents.
pub fn all() -> [(&'static str, String); 5] {
    [
        ("gable/plan.dxf", gable()),
        ("gable/weather.epw", three_days()),
        ("hipped-l/plan.dxf", hipped_l()),
        ("hipped-l-metric/plan.dxf", hipped_l_metric()),
        ("cross-gable-retrofit/plan.dxf", cross_gable()),
    ]
}

/// Three invented days in the EPW format, short enough to be worked by hand: a cold dry one, one on which ten hours of snow fall and
/// lie on, and one that thaws, warms up and ends in rain.
fn three_days() -> String {
    let mut out = String::from(
        "LOCATION,Three invented days,-,-,made up,0,44.0,-73.0,-5.0,100.0\nDESIGN CONDITIONS,0\nTYPICAL/EXTREME PERIODS,0\n\
         GROUND TEMPERATURES,0\nHOLIDAYS/DAYLIGHT SAVINGS,No,0,0,0\nCOMMENTS 1,invented for a sample\nCOMMENTS 2,\n\
         DATA PERIODS,1,1,Data,Sunday, 1/30, 2/ 1\n",
    );
    let weather = |day: u32, hour: u32| -> (f64, u32, &str, f64) {
        match (day, hour) {
            (1, _) => (-5.0, 0, "999999999", 0.0),
            (2, 1..=10) => (-4.0, 5, "999199999", 0.5),
            (2, _) => (-6.0, 5, "999999999", 0.0),
            (3, 1..=12) => (-2.0, 4, "999999999", 0.0),
            (3, 13..=16) => (4.0, 2, "999999999", 0.0),
            _ => (1.0, 0, "919999999", 0.3),
        }
    };
    for (day, date) in [(1, "1,30"), (2, "1,31"), (3, "2,1")] {
        for hour in 1..=24 {
            let (air, snow, codes, rain) = weather(day, hour);
            writeln!(
                out,
                "2001,{date},{hour},60,?9,{air:.1},99.9,999,999999,9999,9999,9999,9999,9999,9999,999999,999999,999999,9999,999,999,\
                 99,99,9999,99999,0,{codes},999,.999,{snow},99,999,{rain:.1},1.0"
            )
            .expect("writing to a string");
        }
    }
    out
}

/// Writes every sample below the folder named on the command line (default `samples`).
#[cfg_attr(test, expect(dead_code, reason = "a test takes this file as a module and calls `all`"))]
fn main() -> std::io::Result<()> {
    let folder = std::env::args().nth(1).unwrap_or_else(|| "samples".to_owned());
    for (name, text) in all() {
        std::fs::write(std::path::Path::new(&folder).join(name), text)?;
    }
    Ok(())
}
