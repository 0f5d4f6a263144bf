//! Random numbers for pictures.

/// A small generator (splitmix64, a public-domain algorithm from memory).
#[derive(Debug, Clone)]
pub(crate) struct Dice(u64);

impl Dice {
    pub(crate) fn new(seed: u64) -> Self {
        Self(seed.wrapping_mul(0x2545_f491_4f6c_dd1d) ^ 0x1234_5678_9abc_def0)
    }

    pub(crate) fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        z ^ (z >> 31)
    }

    /// Even between the two.
    pub(crate) fn between(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * (self.next() >> 11) as f64 / (1u64 << 53) as f64
    }

    /// Sum of four: near enough to normal for noise.
    pub(crate) fn normal(&mut self) -> f64 {
        let bits = self.next();
        let sum: f64 = (0..4).map(|i| ((bits >> (16 * i)) & 0xffff) as f64 / 65535.0).sum();
        (sum - 2.0) * 3f64.sqrt()
    }

    pub(crate) fn chance(&mut self, p: f64) -> bool {
        self.between(0.0, 1.0) < p
    }

    pub(crate) fn pick<T: Copy>(&mut self, from: &[T]) -> T {
        from[(self.next() % from.len() as u64) as usize]
    }
}
