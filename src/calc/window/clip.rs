//! Lines and areas cut at a frame, so that what draws them need not know where it ends.

use super::Frame;

/// A place, px.
pub type Point = (f64, f64);

/// The part of a line from one place to another that lies in the frame (Liang and Barsky's parameters).
pub fn segment(from: Point, to: Point, frame: &Frame) -> Option<(Point, Point)> {
    let (dx, dy) = (to.0 - from.0, to.1 - from.1);
    let (mut first, mut last) = (0.0_f64, 1.0_f64);
    for (towards, room) in [(-dx, from.0 - frame.left), (dx, frame.right - from.0), (-dy, from.1 - frame.top), (dy, frame.bottom - from.1)]
    {
        if towards == 0.0 {
            if room < 0.0 {
                return None;
            }
        } else if towards < 0.0 {
            first = first.max(room / towards);
        } else {
            last = last.min(room / towards);
        }
    }
    if first > last || !(dx + dy).is_finite() {
        return None;
    }
    let at = |share: f64| (from.0 + dx * share, from.1 + dy * share);
    // Whole lines keep their very ends.
    Some((if first > 0.0 { at(first) } else { from }, if last < 1.0 { at(last) } else { to }))
}

/// The pieces of a line through points that lie in the frame.
pub fn line(points: impl IntoIterator<Item = Point>, frame: &Frame) -> Vec<Vec<Point>> {
    let mut pieces: Vec<Vec<Point>> = Vec::new();
    let mut before: Option<Point> = None;
    let mut joined = false;
    for point in points {
        if let Some((from, to)) = before.and_then(|before| segment(before, point, frame)) {
            match pieces.last_mut().filter(|_| joined) {
                Some(piece) => piece.push(to),
                None => pieces.push(vec![from, to]),
            }
            joined = to == point;
        } else {
            joined = false;
        }
        before = Some(point);
    }
    pieces
}

/// The part of an area that lies in the frame (Sutherland and Hodgman's four cuts). Parts that fall asunder stay joined along
/// the frame by lines without width: to be filled, not to be outlined.
pub fn area(points: &[Point], frame: &Frame) -> Vec<Point> {
    let Frame { left, top, right, bottom } = *frame;
    let points = cut(points, |point| point.0 - left);
    let points = cut(&points, |point| right - point.0);
    let points = cut(&points, |point| point.1 - top);
    cut(&points, |point| bottom - point.1)
}

/// What lies where `inside` is not negative.
fn cut(points: &[Point], inside: impl Fn(&Point) -> f64) -> Vec<Point> {
    let mut out = Vec::with_capacity(points.len());
    let Some(mut before) = points.last() else { return out };
    for point in points {
        let (was, is) = (inside(before), inside(point));
        if (was < 0.0) != (is < 0.0) {
            let share = was / (was - is);
            out.push((before.0 + (point.0 - before.0) * share, before.1 + (point.1 - before.1) * share));
        }
        if is >= 0.0 {
            out.push(*point);
        }
        before = point;
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    const FRAME: Frame = Frame { left: 0.0, top: 0.0, right: 10.0, bottom: 10.0 };

    fn size(points: &[Point]) -> f64 {
        let next = points.iter().cycle().skip(1);
        points.iter().zip(next).map(|(one, other)| one.0 * other.1 - other.0 * one.1).sum::<f64>().abs() / 2.0
    }

    #[test]
    fn a_line_is_cut_where_it_crosses_the_frame() {
        // By hand: the diagonal through (−5, 0) and (15, 20) enters at (0, 5) and leaves at (5, 10).
        assert_eq!(segment((-5.0, 0.0), (15.0, 20.0), &FRAME), Some(((0.0, 5.0), (5.0, 10.0))));
        assert_eq!(segment((2.0, 3.0), (4.0, 5.0), &FRAME), Some(((2.0, 3.0), (4.0, 5.0))));
        assert_eq!(segment((-1.0, -1.0), (-1.0, 11.0), &FRAME), None);
        assert_eq!(segment((-5.0, 8.0), (5.0, 18.0), &FRAME), None, "past the corner");
        assert_eq!(segment((3.0, -4.0), (3.0, 40.0), &FRAME), Some(((3.0, 0.0), (3.0, 10.0))));
        assert_eq!([segment((3.0, f64::NAN), (3.0, 4.0), &FRAME), segment((f64::INFINITY, 3.0), (3.0, 4.0), &FRAME)], [None; 2]);
    }

    #[test]
    fn a_line_that_leaves_and_comes_back_is_two_pieces_with_the_right_slopes() {
        // A spike far above the frame is not flattened: it leaves and comes back on its own flanks.
        let pieces = line([(0.0, 5.0), (2.0, 5.0), (4.0, -15.0), (6.0, 5.0), (10.0, 5.0)], &FRAME);
        assert_eq!(pieces, [vec![(0.0, 5.0), (2.0, 5.0), (2.5, 0.0)], vec![(5.5, 0.0), (6.0, 5.0), (10.0, 5.0)]]);
    }

    #[test]
    fn an_area_keeps_what_is_inside() {
        let all = vec![(-10.0, -10.0), (20.0, -10.0), (20.0, 20.0), (-10.0, 20.0)];
        assert!((size(&area(&all, &FRAME)) - 100.0).abs() < 1e-9);
        // A triangle with corners (−5, 5), (5, −5), (15, 15), by hand: 100 less the corner cut at x + y = 0 (nothing), and the
        // two triangles outside y ≥ 2x − 15 (corners (7.5, 0), (10, 0), (10, 5): 6.25) and y ≤ x/2 + 7.5 (the same).
        let triangle = vec![(-5.0, 5.0), (5.0, -5.0), (15.0, 15.0)];
        assert!((size(&area(&triangle, &FRAME)) - 87.5).abs() < 1e-9);
        assert!(area(&[(-3.0, 1.0), (-1.0, 1.0), (-1.0, 9.0)], &FRAME).is_empty());
        assert!(area(&[], &FRAME).is_empty());
    }

    #[test]
    fn nothing_drawn_ever_lies_outside() {
        let mut state = 1_u32;
        let mut random = || {
            state = state.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
            f64::from(state >> 8) / f64::from(1 << 24) * 40.0 - 15.0
        };
        for _ in 0..2000 {
            let points: Vec<Point> = (0..7).map(|_| (random(), random())).collect();
            let near = |point: &Point| [point.0, point.1].iter().all(|place| (-1e-9..=10.0 + 1e-9).contains(place));
            assert!(line(points.clone(), &FRAME).iter().flatten().all(near));
            assert!(area(&points, &FRAME).iter().all(near));
        }
    }
}
