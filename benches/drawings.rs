//! Drawings of any size for the benches.

use std::fmt::Write;

/// A gable on a roof layer among entities of other layers: about `bytes` bytes of LWPOLYLINE, LINE, INSERT and TEXT.
pub fn drawing(bytes: usize) -> Vec<u8> {
    let mut text = String::with_capacity(bytes + 4096);
    text.push_str("  0\nSECTION\n  2\nHEADER\n  9\n$ACADVER\n  1\nAC1015\n  9\n$INSUNITS\n 70\n     1\n  0\nENDSEC\n");
    text.push_str(
        "  0\nSECTION\n  2\nBLOCKS\n  0\nBLOCK\n  8\n0\n  2\nTREE\n 70\n     0\n 10\n0.0\n 20\n0.0\n 30\n0.0\n",
    );
    text.push_str(
        "  0\nCIRCLE\n  8\n0\n 10\n0.0\n 20\n0.0\n 40\n60.0\n  0\nENDBLK\n  0\nENDSEC\n  0\nSECTION\n  2\nENTITIES\n",
    );
    text.push_str(
        "  0\nLWPOLYLINE\n  5\n10\n  8\nA-ROOF\n 90\n     4\n 70\n     1\n 10\n0.0\n 20\n0.0\n 10\n480.0\n 20\n0.0\n",
    );
    text.push_str(" 10\n480.0\n 20\n288.0\n 10\n0.0\n 20\n288.0\n  0\nLINE\n  5\n11\n  8\nA-ROOF\n 10\n0.0\n 20\n144.0\n 11\n480.0\n 21\n144.0\n");
    let mut number = 0_u32;
    while text.len() < bytes {
        number += 1;
        let (x, y) = (f64::from(number % 977) * 13.0625, f64::from(number % 1009) * 7.31);
        let head = |kind: &str, layer: &str| format!("  0\n{kind}\n  5\n{:X}\n  8\n{layer}\n", 0x100 + number);
        match number % 4 {
            0 => {
                text += &head("LWPOLYLINE", "A-SITE-TOPO");
                text.push_str("100\nAcDbPolyline\n 90\n        8\n 70\n     0\n");
                for i in 0..8 {
                    let i = f64::from(i);
                    writeln!(text, " 10\n{:.6}\n 20\n{:.6}", x + 24.123 * i, y + 3.7 * i * i)
                        .expect("writing to a string");
                }
            }
            1 => {
                text += &head("LINE", "A-WALL-INTR");
                writeln!(
                    text,
                    "100\nAcDbLine\n 10\n{x:.6}\n 20\n{y:.6}\n 30\n0.0\n 11\n{:.6}\n 21\n{:.6}\n 31\n0.0",
                    x + 120.5,
                    y + 36.25
                )
                .expect("writing to a string");
            }
            2 => {
                text += &head("INSERT", "L-PLNT-TREE");
                writeln!(text, "100\nAcDbBlockReference\n  2\nTREE\n 10\n{x:.6}\n 20\n{y:.6}\n 30\n0.0\n 41\n1.25\n 42\n1.25\n 50\n45.0").expect("writing to a string");
            }
            _ => {
                text += &head("TEXT", "A-ANNO-TEXT");
                writeln!(
                    text,
                    "100\nAcDbText\n 10\n{x:.6}\n 20\n{y:.6}\n 30\n0.0\n 40\n6.0\n  1\nROOM {number}\n 50\n0.0"
                )
                .expect("writing to a string");
            }
        }
    }
    text.push_str("  0\nENDSEC\n  0\nEOF\n");
    text.into_bytes()
}
