/// A small generator (xorshift), the same everywhere.
#[derive(Debug, Clone)]
pub struct Rng(pub u64);

impl Rng {
    /// From 0 up to 1.
    pub fn share(&mut self) -> f64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut x = self.0;
        x = (x ^ (x >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        x = (x ^ (x >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        ((x ^ (x >> 31)) >> 11) as f64 / (1u64 << 53) as f64
    }

    fn below(&mut self, count: usize) -> usize {
        (self.share() * count as f64) as usize
    }
}

fn crosses(a: Point2, b: Point2, c: Point2, d: Point2) -> bool {
    let beside = |p: Point2, q: Point2| {
        let (one, other) = (side_of_line(p, q, c), side_of_line(p, q, d));
        one == other && one != Side::On
    };
    let (one, other) = (side_of_line(c, d, a), side_of_line(c, d, b));
    !beside(a, b) && (one != other || one == Side::On)
}

/// A simple polygon grown from a triangle by bending random sides, counter-clockwise.
#[must_use]
pub fn random_ring(random: &mut Rng, corners: usize) -> Vec<Point2> {
    let mut ring = vec![Point2::new(0.0, 0.0), Point2::new(100.0, 3.0), Point2::new(45.0, 90.0)];
    while ring.len() < corners {
        let i = random.below(ring.len());
        let (a, b) = (ring[i], ring[(i + 1) % ring.len()]);
        let along = b - a;
        let middle = a + along * (0.2 + 0.6 * random.share());
        let p = middle + along.left() * (1.6 * random.share() - 0.8);
        let clear = (0..ring.len()).filter(|&k| k != i).all(|k| {
            let (c, d) = (ring[k], ring[(k + 1) % ring.len()]);
            (d == a || !crosses(a, p, c, d)) && (c == b || !crosses(p, b, c, d))
        });
        let narrow = |u: Point2, v: Point2, w: Point2| {
            let (s, t) = (v - u, w - v);
            s.cross(t).abs() < 0.05 * s.length() * t.length() || s.length() < 1e-3
        };
        let (before, after) = (ring[(i + ring.len() - 1) % ring.len()], ring[(i + 2) % ring.len()]);
        if clear && !narrow(before, a, p) && !narrow(a, p, b) && !narrow(p, b, after) {
            ring.insert(i + 1, p);
        }
    }
    ring
}
