//! Mixes found so far, so that the same colour is not searched for twice.

use super::mixed::Kit;
use crate::colour::LabD65;
use crate::mix::{Recipe, Search};

/// The mixes of a shelf for some colours.
pub(super) struct Answers<'a> {
    kit: &'a Kit<'a>,
    search: &'a Search,
    found: Vec<(LabD65, Vec<Recipe>)>,
}

impl<'a> Answers<'a> {
    /// None yet.
    pub(super) fn none_yet(kit: &'a Kit<'a>, search: &'a Search) -> Self {
        Self {
            kit,
            search,
            found: Vec::new(),
        }
    }

    /// As [`Kit::recipes_for_all`].
    pub(super) fn for_all(&mut self, targets: &[LabD65]) -> Vec<Vec<Recipe>> {
        let mut new: Vec<LabD65> = Vec::new();
        for target in targets {
            if self.known(*target).is_none() && !new.contains(target) {
                new.push(*target);
            }
        }
        let found = self.kit.recipes_for_all(&new, self.search);
        self.found.extend(new.into_iter().zip(found));
        let known = targets.iter().map(|target| self.known(*target));
        known
            .map(|known| known.map_or_else(Vec::new, <[Recipe]>::to_vec))
            .collect()
    }

    fn known(&self, target: LabD65) -> Option<&[Recipe]> {
        let mut found = self.found.iter();
        let (_, recipes) = found.find(|(other, _)| *other == target)?;
        Some(recipes)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::mix::Shelf;
    use crate::paint::PaintList;

    #[test]
    fn what_was_asked_before_is_answered_as_by_the_shelf() {
        let text = "name,hex\nwhite,#f2f1ec\nblack,#262524\nochre,#b58a3c\nred,#93503d\n";
        let list = PaintList::parse("p.csv", text.as_bytes(), &|_| Err(String::new())).unwrap();
        let (shelf, search) = (Shelf::new(&list), Search::default());
        let [one, two, three] = [30.0, 45.0, 60.0].map(|l| LabD65::new(l, 5.0, 9.0));
        let kit = Kit::new(&list, &shelf);
        let mut answers = Answers::none_yet(&kit, &search);
        for targets in [&[one, two, one][..], &[], &[three, two], &[one]] {
            assert_eq!(
                answers.for_all(targets),
                shelf.recipes_for_all(targets, &search)
            );
        }
        assert_eq!(answers.found.len(), 3, "each is searched for once");
    }
}
