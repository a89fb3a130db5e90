//! Large or dense bad drawings, made when they are needed.

/// Groups written as `LINE 8=A-ROOF 10=1.5`; a bare word is a group of code 0. `_` in a value is a blank.
fn groups(text: &str) -> String {
    text.split_whitespace()
        .map(|word| match word.split_once('=') {
            Some((code, value)) => format!("{code}\n{}\n", value.replace('_', " ")),
            None => format!("0\n{word}\n"),
        })
        .collect()
}

fn file(tables: &str, blocks: &str, entities: &str) -> String {
    let section = |name: &str, body: &str| format!("SECTION 2={name} {body} ENDSEC ");
    let header = section("HEADER", "9=$ACADVER 1=AC1015 9=$INSUNITS 70=1");
    groups(&(header + &section("TABLES", tables) + &section("BLOCKS", blocks) + &section("ENTITIES", entities) + "EOF"))
}

const GABLE: &str = "LWPOLYLINE 8=A-ROOF 70=1 10=0 20=0 10=480 20=0 10=480 20=288 10=0 20=288 \
    LINE 8=A-ROOF 10=0 20=144 11=480 21=144 ";
const LINE_BLOCK: &str = "BLOCK 2=L 10=0 20=0 LINE 8=0 10=0 20=0 11=10 21=5 ENDBLK ";
const GABLE_BLOCK: &str = "BLOCK 2=G 10=0 20=0 LWPOLYLINE 8=0 70=1 10=0 20=0 10=480 20=0 10=480 20=288 10=0 20=288 \
    LINE 8=0 10=0 20=144 11=480 21=144 ENDBLK ";

/// Arrays of blocks: a few hundred bytes that stand for up to millions of lines.
fn arrays() -> Vec<(&'static str, String)> {
    let rows = "BLOCK 2=R 10=0 20=0 INSERT 8=0 2=L 10=0 20=0 70=200 71=1 44=1 ENDBLK ";
    let text = "BLOCK 2=T 10=0 20=0 TEXT 8=0 10=0 20=0 40=5 1=6:12 ENDBLK ";
    let vent = "BLOCK 2=VENT 10=0 20=0 CIRCLE 8=0 10=0 20=0 40=3 ENDBLK ";
    let hundred: String = (1..=100)
        .map(|level| {
            format!(
                "BLOCK 2=N{level} 10=0 20=0 INSERT 8=0 2=N{} 10=0 20=0 INSERT 8=0 2=N{} 10=1 20=1 ENDBLK ",
                level - 1,
                level - 1
            )
        })
        .collect();
    let hundred = format!("BLOCK 2=N0 10=0 20=0 LINE 8=0 10=0 20=0 11=9 21=9 ENDBLK {hundred}");
    let of = |blocks: &str, insert: &str| file("", blocks, insert);
    vec![
        ("array-of-lines", of(LINE_BLOCK, "INSERT 8=ROOF 2=L 10=0 20=0 70=2 71=32767 44=100 45=50")),
        ("array-in-one-place", of(LINE_BLOCK, "INSERT 8=ROOF 2=L 10=0 20=0 70=2 71=32767")),
        ("array-crowded", of(LINE_BLOCK, "INSERT 8=0 2=L 10=0 20=0 70=2 71=32767 44=1 45=1")),
        ("array-of-gables", of(GABLE_BLOCK, "INSERT 8=ROOF 2=G 10=0 20=0 70=2 71=32767 44=600 45=400")),
        ("array-of-arrays", of(&format!("{LINE_BLOCK}{rows}"), "INSERT 8=ROOF 2=R 10=0 20=0 71=600 45=3")),
        ("array-far-too-large", of(LINE_BLOCK, "INSERT 8=ROOF 2=L 10=0 20=0 70=32767 71=32767 44=1 45=1")),
        ("array-of-notes", of(text, &format!("{GABLE} INSERT 8=X 2=T 10=0 20=0 70=2 71=32767 44=.001 45=.001"))),
        ("array-of-vents", of(vent, &format!("{GABLE} INSERT 8=X 2=VENT 10=10 20=10 70=100 71=600 44=4 45=.4"))),
        ("array-of-nothing", of(LINE_BLOCK, &format!("{GABLE} INSERT 8=TREES 2=L 10=0 20=0 70=32767 71=32767"))),
        ("bomb-of-a-hundred-levels", of(&hundred, "INSERT 8=ROOF 2=N100 10=0 20=0")),
        ("bomb-of-sixty-levels", of(&hundred, "INSERT 8=ROOF 2=N60 10=0 20=0")),
        ("bomb-without-layer", of(&hundred, "INSERT 8=0 2=N60 10=0 20=0")),
    ]
}

/// Counts of two thousand million where the file holds a handful.
fn counts() -> Vec<(&'static str, String)> {
    let of = |entity: &str| file("", "", &format!("{GABLE}{entity}"));
    vec![
        ("count-lwpolyline", of("LWPOLYLINE 8=A-ROOF 90=2000000000 70=0 10=0 20=0 10=9 20=9")),
        (
            "count-spline",
            of("SPLINE 8=A-ROOF 70=8 71=3 72=2000000000 73=2000000000 74=2000000000 40=0 40=1 10=0 20=0 10=9 20=9"),
        ),
        ("count-degree", of("SPLINE 8=A-ROOF 70=8 71=2000000000 72=4 73=2 40=0 40=0 40=1 40=1 10=0 20=0 10=9 20=9")),
        (
            "count-hatch",
            of("HATCH 8=A-ROOF 10=0 20=0 70=1 71=0 91=2000000000 92=3 72=0 73=1 93=2000000000 10=0 20=0 10=9 20=9"),
        ),
        (
            "count-hatch-edges",
            of(
                "HATCH 8=A-ROOF 10=0 20=0 70=1 71=0 91=1 92=1 93=2000000000 72=4 94=2000000000 95=2000000000 96=2000000000",
            ),
        ),
        ("count-mesh", of("MESH 8=A-ROOF 71=2 72=0 91=0 92=2000000000 10=0 20=0 30=0 93=2000000000 90=2000000000")),
        (
            "count-polyface",
            of("POLYLINE 8=A-ROOF 66=1 70=64 71=2000000000 72=2000000000 VERTEX 70=128 71=2000000000 72=1 73=2 SEQEND"),
        ),
        (
            "count-polymesh",
            of("POLYLINE 8=A-ROOF 66=1 70=16 71=2000000000 72=2000000000 VERTEX 70=64 10=0 20=0 SEQEND"),
        ),
        ("count-insert", of("INSERT 8=A-ROOF 2=NONE 10=0 20=0 70=2000000000 71=2000000000")),
    ]
}

/// Many lines on little ground.
fn dense() -> Vec<(&'static str, String)> {
    let line = |a: f64, b: f64, c: f64, d: f64| format!("LINE 8=A-ROOF 10={a} 20={b} 11={c} 21={d} ");
    let grid: String = (0..1500).map(f64::from).map(|i| line(0.0, i, 1500.0, i) + &line(i, 0.0, i, 1500.0)).collect();
    let fan: String = (0..4000).map(f64::from).map(|i| line(0.0, 0.0, 1000.0, i)).collect();
    let comb: String = (0..8000).map(f64::from).map(|i| line(0.1 * i, 0.0, 0.1 * i, 100.0)).collect();
    let stubs: String = (0..8000)
        .map(|i| {
            let (x, y) = (f64::from(i % 90), f64::from(i / 90));
            line(x, y, x + 0.6, y)
        })
        .collect();
    let curves: String = (0..400).map(|i| format!("CIRCLE 8=A-ROOF 10={i} 20=0 40=90000 ")).collect();
    let cells: String = (0..20_000)
        .map(|i| {
            format!(
                "LWPOLYLINE 8=A-ROOF-SKYL 70=1 10={x} 20={y} 10={z} 20={y} 10={z} 20={w} ",
                x = i % 140 * 3,
                z = i % 140 * 3 + 2,
                y = i / 140 * 2,
                w = i / 140 * 2 + 1
            )
        })
        .collect();
    vec![
        ("dense-grid", file("", "", &grid)),
        ("dense-fan", file("", "", &fan)),
        ("dense-comb", file("", "", &format!("{GABLE}{comb}"))),
        ("dense-stubs", file("", "", &format!("{GABLE}{stubs}"))),
        ("dense-curves", file("", "", &curves)),
        ("dense-skylights", file("", "", &format!("{GABLE}{cells}"))),
    ]
}

/// All of them with their names.
pub fn files() -> Vec<(&'static str, Vec<u8>)> {
    let mut files: Vec<(&'static str, Vec<u8>)> =
        [arrays(), counts(), dense()].concat().into_iter().map(|(name, text)| (name, text.into_bytes())).collect();
    let mut long = file("", "", GABLE).replace("0\nEOF\n", "1\n");
    long.push_str(&"x".repeat(64 << 20));
    files.push(("one-line-of-64-mb", (long + "\n0\nEOF\n").into_bytes()));
    let mut wide =
        file("", "", "").replace("0\nEOF\n", "0\nSECTION\n2\nENTITIES\n0\nTEXT\n8\nA\n10\n0\n20\n0\n40\n1\n1\n");
    wide.push_str(&"x".repeat(64 << 20));
    files.push(("one-text-of-64-mb", (wide + "\n0\nENDSEC\n0\nEOF\n").into_bytes()));
    let layers: String = (0..1_000_000).map(|number| format!("LAYER 2=L{number} 70=0 62=7 ")).collect();
    files.push(("a-million-layers", file(&layers, "", GABLE).into_bytes()));
    let blocks: String = (0..200_000).map(|number| format!("BLOCK 2=B{number} 10=0 20=0 ENDBLK ")).collect();
    files.push(("many-blocks", file("", &blocks, GABLE).into_bytes()));
    let one: String = (0..1_000_000).map(|number| format!("10={} 20={} ", number % 1000, number / 1000)).collect();
    files.push(("a-million-vertices", file("", "", &format!("LWPOLYLINE 8=A-ROOF 70=1 {one}")).into_bytes()));
    files
}
