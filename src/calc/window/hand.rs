//! What pointers on a picture ask for: a tap picks a moment, one finger pans, two pinch, and an edge that is grabbed moves.

use super::{Span, View};

/// A pointer moves so far before it is no longer a tap, px.
const SLACK_PX: f64 = 6.0;

/// What a movement asks for.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Asked {
    /// Nothing.
    Nothing,
    /// To show these times.
    Show(Span),
    /// To look at this moment.
    Look(f64),
    /// To move an edge: its place, the moment.
    Edge(usize, f64),
    /// To leave the edge there: its place, the moment.
    Drop(usize, f64),
    /// To put the edge back.
    Back,
}

/// What the pointers do.
#[derive(Clone, Copy, Debug, PartialEq)]
enum Grip {
    /// Down, and not moved yet.
    Tap,
    /// Holds the moment under it.
    Pan { held: f64 },
    /// Looks at what it passes: there is nothing to pan.
    Look,
    /// Hold the moments under them.
    Pinch { held: (f64, f64) },
    /// Holds an edge, so far from its moment.
    Edge { place: usize, off: f64, moved: bool },
}

/// A pointer that is down.
#[derive(Clone, Copy, Debug, PartialEq)]
struct Pointer {
    id: i32,
    began: f64,
    x: f64,
}

/// The pointers that are down on a picture.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Hand {
    pointers: Vec<Pointer>,
    grip: Option<Grip>,
}

impl Hand {
    /// Whether pointers are down.
    pub fn is_busy(&self) -> bool {
        self.grip.is_some()
    }

    /// The edge that is held.
    pub fn edge(&self) -> Option<usize> {
        match self.grip {
            Some(Grip::Edge { place, .. }) => Some(place),
            _ => None,
        }
    }

    /// A pointer comes down; on an edge, whose place and moment are given.
    pub fn down(&mut self, id: i32, x: f64, view: &View, edge: Option<(usize, f64)>) {
        self.pointers.retain(|pointer| pointer.id != id);
        if self.edge().is_some() || self.pointers.len() > 1 {
            return;
        }
        self.pointers.push(Pointer { id, began: x, x });
        self.grip = match (self.pointers.as_slice(), edge) {
            ([_], Some((place, at))) => Some(Grip::Edge { place, off: at - view.time_at(x), moved: false }),
            ([one, other], _) => Some(Grip::Pinch { held: (view.time_at(one.x), view.time_at(other.x)) }),
            _ => Some(Grip::Tap),
        };
    }

    /// A pointer moves.
    pub fn moved(&mut self, id: i32, x: f64, view: &View, whole: Span) -> Asked {
        let Some(pointer) = self.pointers.iter_mut().find(|pointer| pointer.id == id) else { return Asked::Nothing };
        pointer.x = x;
        let pointer = *pointer;
        let slips = (x - pointer.began).abs() > SLACK_PX;
        match self.grip {
            Some(Grip::Tap) if slips => {
                let all = view.time.length() >= whole.length() * (1.0 - 1e-9);
                self.grip = Some(if all { Grip::Look } else { Grip::Pan { held: view.time_at(pointer.began) } });
                self.moved(id, x, view, whole)
            }
            Some(Grip::Pan { held }) => Asked::Show(view.time.moved(held - view.time_at(x), whole)),
            Some(Grip::Look) => Asked::Look(view.time_at(x)),
            Some(Grip::Pinch { held }) => match self.pointers.as_slice() {
                [one, other] => Asked::Show(view.time.pinched(held, (view.share_at(one.x), view.share_at(other.x)), whole)),
                _ => Asked::Nothing,
            },
            Some(Grip::Edge { place, off, moved }) if moved || slips => {
                self.grip = Some(Grip::Edge { place, off, moved: true });
                Asked::Edge(place, view.time_at(x) + off)
            }
            _ => Asked::Nothing,
        }
    }

    /// A pointer goes up.
    pub fn up(&mut self, id: i32, x: f64, view: &View) -> Asked {
        if !self.pointers.iter().any(|pointer| pointer.id == id) {
            return Asked::Nothing;
        }
        self.pointers.retain(|pointer| pointer.id != id);
        match (self.grip.take(), self.pointers.first_mut()) {
            (Some(Grip::Tap), None) => Asked::Look(view.time_at(x)),
            (Some(Grip::Edge { place, off, moved: true }), _) => Asked::Drop(place, view.time_at(x) + off),
            // One of two fingers stays: it pans on from where it is.
            (Some(Grip::Pinch { .. }), Some(left)) => {
                left.began = left.x;
                self.grip = Some(Grip::Pan { held: view.time_at(left.x) });
                Asked::Nothing
            }
            _ => Asked::Nothing,
        }
    }

    /// The browser takes the pointer away: the page scrolls, or a key ends what was begun.
    pub fn cancel(&mut self) -> Asked {
        let held = self.edge().is_some();
        *self = Self::default();
        if held { Asked::Back } else { Asked::Nothing }
    }
}

#[cfg(test)]
mod tests {
    use super::super::Frame;
    use super::*;

    const WHOLE: Span = Span { from: 0.0, to: 1000.0 };

    /// A hundred pixels from 0 on, a tenth of the length of a log of 1000 s a pixel.
    fn view(from: f64, to: f64) -> View {
        let frame = Frame { left: 0.0, top: 0.0, right: 100.0, bottom: 50.0 };
        View { time: Span { from, to }, level: Span { from: 30.0, to: 60.0 }, frame }
    }

    #[test]
    fn a_tap_looks_at_a_moment() {
        let mut hand = Hand::default();
        hand.down(1, 20.0, &view(0.0, 1000.0), None);
        assert_eq!(hand.moved(1, 23.0, &view(0.0, 1000.0), WHOLE), Asked::Nothing, "a finger trembles");
        assert_eq!(hand.up(1, 23.0, &view(0.0, 1000.0)), Asked::Look(230.0));
        assert!(!hand.is_busy());
    }

    #[test]
    fn a_pan_keeps_the_moment_under_the_finger() {
        let mut hand = Hand::default();
        let mut shown = view(400.0, 500.0);
        hand.down(1, 50.0, &shown, None);
        for x in [60.0, 75.0, 30.0, 80.0] {
            let Asked::Show(span) = hand.moved(1, x, &shown, WHOLE) else { panic!("a pan") };
            shown.time = span;
            assert!((shown.time_at(x) - 450.0).abs() < 1e-9);
        }
        assert_eq!(hand.up(1, 80.0, &shown), Asked::Nothing);
    }

    #[test]
    fn where_all_is_shown_a_finger_looks() {
        let mut hand = Hand::default();
        hand.down(1, 50.0, &view(0.0, 1000.0), None);
        assert_eq!(hand.moved(1, 70.0, &view(0.0, 1000.0), WHOLE), Asked::Look(700.0));
        assert_eq!(hand.up(1, 70.0, &view(0.0, 1000.0)), Asked::Nothing);
    }

    #[test]
    fn two_fingers_keep_the_moments_under_them_and_one_pans_on() {
        let mut hand = Hand::default();
        let mut shown = view(0.0, 1000.0);
        hand.down(1, 40.0, &shown, None);
        hand.down(2, 60.0, &shown, None);
        hand.down(3, 90.0, &shown, None);
        for (id, x) in [(1, 20.0), (2, 90.0)] {
            let Asked::Show(span) = hand.moved(id, x, &shown, WHOLE) else { panic!("a pinch") };
            shown.time = span;
        }
        assert!((shown.time_at(20.0) - 400.0).abs() < 1e-9 && (shown.time_at(90.0) - 600.0).abs() < 1e-9);
        assert_eq!(hand.moved(3, 10.0, &shown, WHOLE), Asked::Nothing, "a third finger does nothing");
        hand.up(1, 20.0, &shown);
        let held = shown.time_at(90.0);
        let Asked::Show(span) = hand.moved(2, 80.0, &shown, WHOLE) else { panic!("a pan") };
        shown.time = span;
        assert!((shown.time_at(80.0) - held).abs() < 1e-9);
    }

    #[test]
    fn an_edge_moves_as_far_as_the_finger_wherever_it_was_grabbed() {
        let mut hand = Hand::default();
        let shown = view(0.0, 1000.0);
        // The edge stands at 300 s; it is grabbed 2 px beside it.
        hand.down(1, 32.0, &shown, Some((1, 300.0)));
        assert_eq!((hand.edge(), hand.moved(1, 34.0, &shown, WHOLE)), (Some(1), Asked::Nothing));
        assert_eq!(hand.moved(1, 52.0, &shown, WHOLE), Asked::Edge(1, 500.0));
        assert_eq!(hand.moved(1, 33.0, &shown, WHOLE), Asked::Edge(1, 310.0), "once it moves, it may go back");
        assert_eq!(hand.up(1, 42.0, &shown), Asked::Drop(1, 400.0));
        // Pressed and let go: nothing moved.
        hand.down(1, 32.0, &shown, Some((1, 300.0)));
        assert_eq!(hand.up(1, 32.0, &shown), Asked::Nothing);
    }

    #[test]
    fn what_the_browser_takes_away_is_put_back() {
        let mut hand = Hand::default();
        let shown = view(0.0, 1000.0);
        hand.down(1, 30.0, &shown, Some((1, 300.0)));
        hand.moved(1, 60.0, &shown, WHOLE);
        assert_eq!(hand.cancel(), Asked::Back);
        assert_eq!(hand.up(1, 60.0, &shown), Asked::Nothing);
        hand.down(1, 30.0, &shown, None);
        assert_eq!(hand.cancel(), Asked::Nothing);
    }
}
