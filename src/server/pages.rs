//! The pages that are open.

use crate::desk::{QuestionKind, QuestionLane};
use std::collections::BTreeMap;
use std::sync::Arc;
use std::time::{Duration, Instant};

/// A page that has been silent for so long is gone: browsers let hidden pages speak once a minute.
const GONE_AFTER: Duration = Duration::from_secs(150);
/// Without any page, the program waits for so long.
const WITHOUT_PAGE: Duration = Duration::from_mins(3);
/// With something unsaved it waits for so long, however little is done.
const WITH_UNSAVED: Duration = Duration::from_hours(12);
/// Most pages that are kept in mind.
const MOST_PAGES: usize = 64;

#[derive(Debug)]
struct PageOfLayout {
    opened: Instant,
    heard: Instant,
    unsaved: bool,
    lanes: [Arc<QuestionLane>; QuestionKind::COUNT],
}

/// The pages that are open.
#[derive(Debug)]
pub(super) struct Pages {
    open: BTreeMap<String, PageOfLayout>,
    /// When a page last did something.
    used: Instant,
    /// When a page was last heard of.
    heard: Instant,
}

impl Pages {
    pub(super) fn new(now: Instant) -> Self {
        Self {
            open: BTreeMap::new(),
            used: now,
            heard: now,
        }
    }

    fn page(&mut self, name: &str, now: Instant) -> &mut PageOfLayout {
        self.open
            .retain(|_, page| now.duration_since(page.heard) < GONE_AFTER || page.unsaved);
        if self.open.len() >= MOST_PAGES && !self.open.contains_key(name) {
            self.open.pop_first();
        }
        self.heard = now;
        let page = self
            .open
            .entry(name.to_owned())
            .or_insert_with(|| PageOfLayout {
                opened: now,
                heard: now,
                unsaved: false,
                lanes: QuestionLane::of_page(),
            });
        page.heard = now;
        page
    }

    /// A page does something.
    pub(super) fn used(&mut self, name: &str, now: Instant) {
        self.used = now;
        self.page(name, now);
    }

    /// A page says that it is there, and that all it holds is saved.
    pub(super) fn alive(&mut self, name: &str, now: Instant) {
        self.page(name, now).unsaved = false;
    }

    /// A page says that it is there, and that it holds something unsaved.
    pub(super) fn alive_unsaved(&mut self, name: &str, now: Instant) {
        self.page(name, now).unsaved = true;
    }

    /// A page says that it is closing.
    pub(super) fn gone(&mut self, name: &str) {
        self.open.remove(name);
    }

    /// The lane of a question.
    pub(super) fn lane(
        &mut self,
        name: &str,
        kind: QuestionKind,
        now: Instant,
    ) -> Arc<QuestionLane> {
        self.used = now;
        Arc::clone(&self.page(name, now).lanes[kind as usize])
    }

    /// Whether a draft by this name is an open page's: it begins with the page's own.
    pub(super) fn is_of_open(&self, draft: &str) -> bool {
        self.open
            .keys()
            .any(|page| draft.split('.').next() == Some(page))
    }

    /// Whether another page was open before this one.
    pub(super) fn is_later(&mut self, name: &str, now: Instant) -> bool {
        let opened = self.page(name, now).opened;
        self.open
            .iter()
            .any(|(other, page)| other != name && page.opened < opened)
    }

    /// Whether it is time to stop: nobody has used the page for `patience`, or there is none.
    pub(super) fn left_alone(&self, patience: Duration, now: Instant) -> bool {
        let unused = now.duration_since(self.used);
        if self.open.values().any(|page| page.unsaved) {
            return unused > WITH_UNSAVED.max(patience);
        }
        unused > patience || now.duration_since(self.heard) > WITHOUT_PAGE.min(patience)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_second_page_is_the_later_one() {
        let start = Instant::now();
        let mut pages = Pages::new(start);
        pages.used("a", start);
        pages.used("b", start + Duration::from_secs(1));
        let now = start + Duration::from_secs(2);
        assert!(pages.is_later("b", now) && !pages.is_later("a", now));
        assert!(pages.is_of_open("a.2") && !pages.is_of_open("ab"));
        pages.gone("a");
        assert!(!pages.is_later("b", now));
    }

    #[test]
    fn it_stops_when_left_alone_but_not_with_something_unsaved() {
        let start = Instant::now();
        let patience = Duration::from_mins(30);
        let mut pages = Pages::new(start);
        let after = |minutes: u64| start + Duration::from_mins(minutes);
        assert!(!pages.left_alone(patience, after(2)));
        assert!(pages.left_alone(patience, after(4)), "no page ever came");
        pages.used("a", start);
        pages.alive("a", after(29));
        assert!(!pages.left_alone(patience, after(30)));
        pages.alive("a", after(31));
        assert!(pages.left_alone(patience, after(31)), "open, but unused");
        pages.alive_unsaved("a", after(31));
        assert!(!pages.left_alone(patience, after(60)));
        assert!(pages.left_alone(patience, after(13 * 60)));
    }
}
