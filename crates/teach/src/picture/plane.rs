//! The plane of a picture, in whole numbers: lengths are hundredths of a pixel, angles 1024ths of a
//! turn. No float is used, so that the same seed gives the same bytes everywhere.

use std::fmt;

/// A place, in hundredths of a pixel; y grows downwards.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Point {
    pub(super) x: i64,
    pub(super) y: i64,
}

/// A place.
pub(super) fn at(x: i64, y: i64) -> Point {
    Point { x, y }
}

impl Point {
    /// The place so far away in a direction.
    pub(super) fn towards(self, direction: i64, distance: i64) -> Self {
        let (cosine, sine) = unit(direction);
        at(self.x + distance * cosine / ONE, self.y + distance * sine / ONE)
    }

    /// The place moved by another's coordinates.
    pub(super) fn plus(self, other: Self) -> Self {
        at(self.x + other.x, self.y + other.y)
    }

    /// The square of the distance.
    pub(super) fn square_to(self, other: Self) -> i64 {
        let (x, y) = (self.x - other.x, self.y - other.y);
        x * x + y * y
    }

    /// Whether the other is nearer than a distance.
    pub(super) fn nearer(self, other: Self, distance: i64) -> bool {
        self.square_to(other) < distance * distance
    }
}

/// What sine and cosine are multiplied with.
pub(super) const ONE: i64 = 10_000;

/// Cosine and sine of a direction, times [`ONE`].
pub(super) fn unit(direction: i64) -> (i64, i64) {
    (sine(direction + 256), sine(direction))
}

/// The sine, times [`ONE`], by the approximation of Bhaskara I (7th century), whose greatest error
/// is 0.0017: much finer than a drawing needs.
fn sine(direction: i64) -> i64 {
    let angle = direction.rem_euclid(1024);
    let half = angle.rem_euclid(512);
    let product = half * (512 - half);
    let size = ONE * 16 * product / (5 * 512 * 512 - 4 * product);
    if angle < 512 { size } else { -size }
}

/// The whole part of the square root; 0 for negative numbers.
pub(super) fn root(number: i64) -> i64 {
    number.checked_isqrt().unwrap_or(0)
}

/// A length as SVG wants it: pixels with at most one decimal.
#[derive(Clone, Copy, Debug)]
pub(super) struct Px(pub(super) i64);

impl fmt::Display for Px {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let tenths = (self.0.abs() + 5) / 10;
        let sign = if self.0 < 0 && tenths > 0 { "-" } else { "" };
        match (tenths / 10, tenths % 10) {
            (whole, 0) => write!(f, "{sign}{whole}"),
            (0, rest) => write!(f, "{sign}.{rest}"),
            (whole, rest) => write!(f, "{sign}{whole}.{rest}"),
        }
    }
}

/// A share of a thousand as SVG wants it: `.25` for 250.
#[derive(Clone, Copy, Debug)]
pub(super) struct Share(pub(super) i64);

impl fmt::Display for Share {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match (self.0.clamp(0, 1000) + 5) / 10 {
            0 => f.write_str("0"),
            100 => f.write_str("1"),
            hundredths if hundredths % 10 == 0 => write!(f, ".{}", hundredths / 10),
            hundredths => write!(f, ".{hundredths:02}"),
        }
    }
}

/// A length in tenths of a pixel, rounded as [`Px`] is.
fn tenths(length: i64) -> i64 {
    length.signum() * ((length.abs() + 5) / 10)
}

/// The path data of a closed line that runs softly past the points. Written step by step from where
/// the pen is, which is half as long as places are.
pub(super) fn soft(points: &[Point]) -> String {
    let (Some(&first), Some(&last)) = (points.first(), points.last()) else {
        return String::new();
    };
    let rounded = |point: Point| at(tenths(point.x) * 10, tenths(point.y) * 10);
    let middle = |a: Point, b: Point| rounded(at(i64::midpoint(a.x, b.x), i64::midpoint(a.y, b.y)));
    let mut pen = middle(last, first);
    let mut path = format!("M{} {}", Px(pen.x), Px(pen.y));
    for (index, &point) in points.iter().enumerate() {
        let next = points.get(index + 1).copied().unwrap_or(first);
        let (past, to) = (rounded(point), middle(point, next));
        path.push('q');
        for (number, step) in
            [past.x - pen.x, past.y - pen.y, to.x - pen.x, to.y - pen.y].into_iter().enumerate()
        {
            if number > 0 && step >= 0 {
                path.push(' ');
            }
            path += &Px(step).to_string();
        }
        pen = to;
    }
    path.push('Z');
    path
}

#[cfg(test)]
mod tests {
    use rstest::rstest;

    use super::{ONE, Px, Share, at, root, soft, unit};

    #[rstest]
    #[case(0, "0")]
    #[case(4, "0")]
    #[case(-4, "0")]
    #[case(5, ".1")]
    #[case(-5, "-.1")]
    #[case(95, "1")]
    #[case(-1234, "-12.3")]
    #[case(100_000, "1000")]
    fn lengths_have_one_decimal_at_most(#[case] hundredths: i64, #[case] text: &str) {
        assert_eq!(Px(hundredths).to_string(), text);
    }

    #[rstest]
    #[case(-20, "0")]
    #[case(4, "0")]
    #[case(50, ".05")]
    #[case(500, ".5")]
    #[case(994, ".99")]
    #[case(2000, "1")]
    fn shares_have_two_decimals_at_most(#[case] per_mille: i64, #[case] text: &str) {
        assert_eq!(Share(per_mille).to_string(), text);
    }

    #[test]
    fn directions_lie_on_the_circle() {
        for direction in -1024..2048 {
            let (cosine, sine) = unit(direction);
            let length = root(cosine * cosine + sine * sine);
            assert!((ONE - 30..=ONE + 30).contains(&length), "{direction}: {length}");
        }
        assert_eq!(unit(0), (ONE, 0));
        assert_eq!(unit(256), (0, ONE));
        assert_eq!(unit(512), (-ONE, 0));
    }

    /// Worked out by hand; the last numbers of the four curves sum up to 0, 0.
    #[test]
    fn a_closed_line_ends_where_it_began() {
        let corners = [at(0, 0), at(1004, 3), at(997, 1011), at(-16, 1000)];
        let path = soft(&corners);
        assert_eq!(path, "M-.1 5q.1-5 5.1-5q5 0 5 5.1q0 5-5.1 5q-5.1-.1-5-5.1Z");
    }
}
