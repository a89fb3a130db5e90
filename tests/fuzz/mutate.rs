//! Drawings spoilt on purpose: the same number always spoils a drawing the same way.

/// A small generator of numbers with a fixed sequence (splitmix64: Steele, Lea and Flood 2014).
pub struct Dice(u64);

impl Dice {
    /// Starts the sequence of a number.
    pub fn new(number: u64) -> Self {
        Self(number.wrapping_mul(0x9E37_79B9_7F4A_7C15))
    }

    fn roll(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        z ^ (z >> 31)
    }

    /// A number below `sides`, which is not 0.
    pub fn below(&mut self, sides: usize) -> usize {
        (self.roll() % sides as u64) as usize
    }
}

/// Groups written as `LINE 8=A-ROOF 10=1.5`; a bare word is a group of code 0. `_` in a value is a blank.
fn groups(text: &str) -> Vec<(i32, String)> {
    let pair = |word: &str| match word.split_once('=') {
        Some((code, value)) => (code.parse().expect("a group code"), value.replace('_', " ")),
        None => (0, word.to_owned()),
    };
    text.split_whitespace().map(pair).collect()
}

/// One of every kind of entity the reader knows, on a gable of 40 ft by 24 ft.
const EVERY_KIND: &str = "SECTION 2=HEADER 9=$ACADVER 1=AC1015 9=$INSUNITS 70=1 9=$DWGCODEPAGE 3=ANSI_1252 ENDSEC \
    SECTION 2=TABLES TABLE 2=LAYER LAYER 2=A-ROOF 70=0 62=7 LAYER 2=A-ROOF-OLD 70=1 62=-3 ENDTAB ENDSEC \
    SECTION 2=BLOCKS BLOCK 8=0 2=VENT 70=0 10=0 20=0 CIRCLE 8=0 10=0 20=0 40=3 ENDBLK \
    BLOCK 8=0 2=DORMER 70=0 10=0 20=0 INSERT 8=0 2=VENT 10=3 20=4 41=-1 42=2 50=30 70=2 71=2 44=9 45=9 \
    LINE 8=0 10=0 20=0 11=24 21=24 ENDBLK ENDSEC SECTION 2=ENTITIES \
    LWPOLYLINE 5=2A 8=A-ROOF 90=4 70=1 10=0 20=0 42=0.01 10=480 20=0 10=480 20=288 10=0 20=288 \
    LINE 5=2B 8=A-ROOF 10=0 20=144 30=0 11=480 21=144 31=0 1001=APP 1070=7 \
    ARC 5=2C 8=A-ROOF 10=100 20=100 40=12 50=0 51=180 CIRCLE 8=A-ROOF-VENT 10=60 20=40 40=6 \
    ELLIPSE 8=A-ROOF 10=240 20=60 30=0 11=10 21=0 31=0 40=0.5 41=0 42=6.283185 210=0 220=0 230=1 \
    SPLINE 8=A-ROOF 70=8 71=3 72=8 73=4 74=0 40=0 40=0 40=0 40=0 40=1 40=1 40=1 40=1 10=300 20=40 30=0 10=310 20=60 30=0 \
    10=320 20=60 30=0 10=330 20=40 30=0 POLYLINE 8=A-ROOF 66=1 70=1 10=0 20=0 30=0 VERTEX 10=350 20=20 42=1 \
    VERTEX 10=370 20=20 VERTEX 10=370 20=40 SEQEND POLYLINE 8=A-ROOF 66=1 70=16 71=2 72=2 VERTEX 70=64 10=400 20=20 30=0 \
    VERTEX 70=64 10=400 20=40 30=0 VERTEX 70=64 10=420 20=20 30=0 VERTEX 70=64 10=420 20=40 30=0 SEQEND \
    POLYLINE 8=A-ROOF 66=1 70=64 71=3 72=1 VERTEX 70=192 10=430 20=20 30=0 VERTEX 70=192 10=450 20=20 30=0 \
    VERTEX 70=192 10=450 20=40 30=0 VERTEX 70=128 10=0 20=0 30=0 71=1 72=2 73=-3 SEQEND \
    MESH 8=A-ROOF 71=2 72=0 91=0 92=3 10=430 20=60 30=0 10=450 20=60 30=0 10=450 20=80 30=0 93=4 90=3 90=0 90=1 90=2 94=0 95=0 90=0 \
    3DFACE 8=A-ROOF 10=20 20=20 30=0 11=40 21=20 31=0 12=40 22=40 32=0 13=20 23=40 33=0 70=0 \
    SOLID 8=A-ROOF 10=50 20=20 30=0 11=70 21=20 31=0 12=50 22=40 32=0 13=70 23=40 33=0 \
    HATCH 8=A-ROOF 10=0 20=0 30=0 210=0 220=0 230=1 2=SOLID 70=1 71=0 91=2 92=3 72=0 73=1 93=4 10=80 20=20 10=100 20=20 10=100 20=40 \
    10=80 20=40 97=0 92=1 93=2 72=1 10=85 20=25 11=95 21=25 72=2 10=90 20=25 40=5 50=0 51=180 73=1 97=0 75=0 76=1 98=0 \
    INSERT 8=A-ROOF 2=DORMER 66=1 10=200 20=200 30=0 41=1 42=1 43=1 50=90 210=0 220=0 230=-1 ATTRIB 8=A-ROOF 10=0 20=0 40=4 1=4:12 2=PITCH \
    70=0 SEQEND TEXT 8=A-ANNO-TEXT 10=100 20=60 40=6 1=PITCH_6:12_%%d 72=1 11=100 21=60 73=2 \
    MTEXT 8=A-ANNO-TEXT 10=200 20=60 40=6 71=5 1={\\fArial|b0;7:12}\\PPITCHED_\\U+00B0 \
    LEADER 8=A-ROOF 71=1 72=0 73=3 76=2 10=150 20=100 30=0 10=150 20=130 30=0 \
    DIMENSION 8=A-ANNO-DIMS 2=*D1 10=0 20=-20 70=0 1=40' 42=480 13=0 23=0 14=480 24=0 POINT 8=0 10=1 20=1 ENDSEC EOF";

fn as_text(groups: &[(i32, String)]) -> Vec<u8> {
    groups.iter().map(|(code, value)| format!("{code:3}\n{value}\n")).collect::<String>().into_bytes()
}

/// The binary form from R13 on: two bytes of code, then the value in the width its code asks for (DXF reference, Binary DXF Files).
fn as_binary(groups: &[(i32, String)]) -> Vec<u8> {
    let mut bytes = b"AutoCAD Binary DXF\r\n\x1a\0".to_vec();
    for (code, value) in groups {
        bytes.extend((*code as u16).to_le_bytes());
        match code {
            10..=59 | 140..=149 | 210..=239 | 1010..=1059 => bytes.extend(value.parse::<f64>().unwrap().to_le_bytes()),
            60..=79 | 170..=179 | 270..=289 | 1060..=1070 => bytes.extend(value.parse::<i16>().unwrap().to_le_bytes()),
            90..=99 | 1071 => bytes.extend(value.parse::<i32>().unwrap().to_le_bytes()),
            _ => bytes.extend(value.bytes().chain([0])),
        }
    }
    bytes
}

/// The drawings to spoil: the samples, and one of every entity kind as text and in binary.
pub fn seeds() -> Vec<Vec<u8>> {
    let samples = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("samples");
    let mut seeds: Vec<Vec<u8>> = ["gable", "hipped-l", "hipped-l-metric"]
        .iter()
        .map(|name| std::fs::read(samples.join(name).join("plan.dxf")).expect("a sample"))
        .collect();
    let every = groups(EVERY_KIND);
    seeds.extend([as_text(&every), as_binary(&every)]);
    seeds
}

/// Values that have broken readers.
const NASTY: [&str; 14] = [
    "2000000000",
    "-1",
    "32767",
    "1e308",
    "nan",
    "-inf",
    "1e-320",
    "0",
    "",
    "999999999999999999999",
    "1,5",
    "1.5D+03",
    "1e11",
    "EOF",
];

/// A seed spoilt in one to four ways.
pub fn spoil(seed: &[u8], number: u64) -> Vec<u8> {
    let mut dice = Dice::new(number);
    let mut bytes = seed.to_vec();
    for _ in 0..1 + dice.below(4) {
        if bytes.is_empty() {
            break;
        }
        bytes = match dice.below(4) {
            0 => spoil_bytes(bytes, &mut dice),
            _ => spoil_lines(&bytes, &mut dice),
        };
    }
    bytes
}

fn spoil_bytes(mut bytes: Vec<u8>, dice: &mut Dice) -> Vec<u8> {
    let at = dice.below(bytes.len());
    match dice.below(4) {
        0 => bytes.truncate(at),
        1 => bytes[at] ^= 1 << dice.below(8),
        2 => {
            let end = (at + dice.below(64)).min(bytes.len());
            bytes[at..end].iter_mut().for_each(|byte| *byte = dice.below(256) as u8);
        }
        _ => {
            let end = (at + dice.below(400)).min(bytes.len());
            let piece = bytes[at..end].to_vec();
            let to = dice.below(bytes.len());
            bytes.splice(to..to, piece);
        }
    }
    bytes
}

fn spoil_lines(bytes: &[u8], dice: &mut Dice) -> Vec<u8> {
    let mut lines: Vec<&[u8]> = bytes.split(|&b| b == b'\n').collect();
    let pairs = (lines.len() / 2).max(1);
    let pair = |dice: &mut Dice| (dice.below(pairs) * 2).min(lines.len() - 1);
    let (at, other) = (pair(dice), pair(dice));
    let value = (at + 1).min(lines.len() - 1);
    match dice.below(7) {
        // Two pairs change places.
        0 => {
            let other_value = (other + 1).min(lines.len() - 1);
            lines.swap(at, other);
            lines.swap(value, other_value);
        }
        // Two lines change places: codes become values from there on.
        1 => lines.swap(at, other),
        2 => lines[value] = NASTY[dice.below(NASTY.len())].as_bytes(),
        // A count (70 to 79, 90 to 98) becomes huge or negative.
        3 => {
            let counts: Vec<usize> = (0..lines.len() - 1)
                .step_by(2)
                .filter(|&i| lines[i].trim_ascii().starts_with(b"7") || lines[i].trim_ascii().starts_with(b"9"))
                .collect();
            if !counts.is_empty() {
                lines[counts[dice.below(counts.len())] + 1] = NASTY[dice.below(4)].as_bytes();
            }
        }
        // Some pairs are lost.
        4 => drop(lines.drain(at..(at + 2 * (1 + dice.below(6))).min(lines.len()))),
        // Some pairs come many times over.
        5 => {
            let piece = lines[at..(at + 2 * (1 + dice.below(8))).min(lines.len())].to_vec();
            (0..1 + dice.below(200)).for_each(|_| drop(lines.splice(at..at, piece.iter().copied())));
        }
        // A pair turns up elsewhere.
        _ => {
            let piece = [lines[at], lines[value]];
            drop(lines.splice(other..other, piece));
        }
    }
    lines.join(&b'\n')
}
