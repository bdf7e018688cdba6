//! Tones that the user joined: which of the found tones these are, and what they are together.

use super::uncovered::TOLERANCE;
use crate::colour::{LabD65, delta_e00};
use crate::tones::group::rounds::WeightedColour;
use crate::tones::space::lab_of;
use crate::units::Share;
use serde::{Deserialize, Serialize};

/// A tone before it was joined with others.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct JoinedTone {
    /// Its mean colour.
    pub colour: LabD65,
    /// Its share of the pixels that count.
    pub share: Share,
}

/// Colours that the user joined, and those of them that no tone is near.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct NotFound {
    /// All of them, as they were named.
    pub named: Vec<LabD65>,
    /// Those without a tone.
    pub missing: Vec<LabD65>,
}

/// How colours are sorted into tones.
pub(in crate::tones) struct Grouping {
    /// For each tone its colour in the grouping space.
    pub(in crate::tones) centres: Vec<[f64; 3]>,
    /// For each tone whether it is an accent.
    pub(in crate::tones) accent: Vec<bool>,
    /// For each colour its tone.
    pub(in crate::tones) of_point: Vec<usize>,
    /// For each tone what it was made of; empty where it is as it was found.
    pub(in crate::tones) joined: Vec<Vec<JoinedTone>>,
    /// For each tone the places of the groups that name it.
    pub(in crate::tones) named_by: Vec<Vec<usize>>,
}

/// A colour as a screen shows it: so it is named, and so a tone is compared with it.
fn on_screen(colour: LabD65) -> LabD65 {
    colour.to_srgb8().into()
}

/// For each colour of a group the tone that it means: the nearest within a painter's tolerance, one for each colour while
/// there are enough of them, nearest pairs first.
fn meant(group: &[LabD65], tones: &[LabD65]) -> Vec<Option<usize>> {
    let mut pairs: Vec<(f64, usize, usize)> = Vec::new();
    for (named, colour) in group.iter().enumerate() {
        for (tone, at) in tones.iter().enumerate() {
            let off = delta_e00(on_screen(*colour), on_screen(*at)).0;
            if off <= TOLERANCE {
                pairs.push((off, named, tone));
            }
        }
    }
    pairs.sort_by(|a, b| a.0.total_cmp(&b.0).then((a.1, a.2).cmp(&(b.1, b.2))));
    let mut meant: Vec<Option<usize>> = vec![None; group.len()];
    for (_, named, tone) in &pairs {
        if meant[*named].is_none() && !meant.contains(&Some(*tone)) {
            meant[*named] = Some(*tone);
        }
    }
    // A colour whose tone has another one's name already: both are one by themselves.
    for (_, named, tone) in pairs {
        meant[named].get_or_insert(tone);
    }
    meant
}

/// Tones by the groups in which they were said to be one.
struct GroupsSaid {
    /// Of each tone the first of its group; itself where it is in none.
    first_of: Vec<usize>,
    /// Of each tone the groups that name it.
    named_by: Vec<Vec<usize>>,
}

impl GroupsSaid {
    /// Makes tones one that a group names, with all that they were one with before.
    fn join(&mut self, tones: &[usize], group: usize) {
        for tone in tones {
            self.named_by[*tone].push(group);
        }
        let joined: Vec<usize> = tones.iter().map(|tone| self.first_of[*tone]).collect();
        let Some(first) = joined.iter().min() else {
            return;
        };
        for of in &mut self.first_of {
            if joined.contains(of) {
                *of = *first;
            }
        }
    }
}

impl Grouping {
    /// As found.
    pub(in crate::tones) fn new(
        centres: &[[f64; 3]],
        accent: &[bool],
        of_point: Vec<usize>,
    ) -> Self {
        Self {
            joined: vec![Vec::new(); centres.len()],
            named_by: vec![Vec::new(); centres.len()],
            centres: centres.to_vec(),
            accent: accent.to_vec(),
            of_point,
        }
    }

    /// With the tones of each group made one: its colour is the mean of theirs in Oklab by their shares among `points`.
    /// Groups that name a missing tone are reported.
    pub(in crate::tones) fn with_alike(
        self,
        points: &[WeightedColour],
        alike: &[Vec<LabD65>],
    ) -> (Self, Vec<NotFound>) {
        if alike.is_empty() {
            return (self, Vec::new());
        }
        let mut shares = vec![0.0; self.centres.len()];
        for (point, tone) in points.iter().zip(&self.of_point) {
            shares[*tone] += point.weight();
        }
        let there: Vec<usize> = (0..shares.len()).filter(|i| shares[*i] > 0.0).collect();
        let colours: Vec<LabD65> = there.iter().map(|i| lab_of(self.centres[*i])).collect();
        let mut groups = GroupsSaid {
            first_of: (0..shares.len()).collect(),
            named_by: vec![Vec::new(); shares.len()],
        };
        let mut not_found = Vec::new();
        for (place, group) in alike.iter().enumerate() {
            let meant = meant(group, &colours);
            let of_group: Vec<usize> = meant.iter().flatten().map(|at| there[*at]).collect();
            groups.join(&of_group, place);
            let named = group.iter().zip(&meant);
            let missing = named.filter(|(_, tone)| tone.is_none());
            let missing: Vec<LabD65> = missing.map(|(colour, _)| *colour).collect();
            if !missing.is_empty() {
                not_found.push(NotFound {
                    named: group.clone(),
                    missing,
                });
            }
        }
        (self.made_one(&groups, &shares), not_found)
    }

    /// With each group of tones made one; `shares` are those of the tones so far.
    fn made_one(self, groups: &GroupsSaid, shares: &[f64]) -> Self {
        let GroupsSaid { first_of, named_by } = groups;
        let total: f64 = shares.iter().sum();
        let mut made = Self {
            centres: Vec::new(),
            accent: Vec::new(),
            of_point: Vec::new(),
            joined: Vec::new(),
            named_by: Vec::new(),
        };
        let mut now = vec![0; shares.len()];
        for first in 0..shares.len() {
            if first_of[first] != first {
                continue;
            }
            let members: Vec<usize> = (first..shares.len())
                .filter(|tone| first_of[*tone] == first)
                .collect();
            for tone in &members {
                now[*tone] = made.centres.len();
            }
            let share: f64 = members.iter().map(|tone| shares[*tone]).sum();
            let mean = |c: usize| {
                let sum: f64 = members
                    .iter()
                    .map(|tone| shares[*tone] * self.centres[*tone][c])
                    .sum();
                sum / share
            };
            if let [only] = members[..] {
                made.centres.push(self.centres[only]);
                made.joined.push(Vec::new());
            } else {
                made.centres.push(std::array::from_fn(mean));
                let before = members.iter().filter_map(|tone| {
                    Some(JoinedTone {
                        colour: lab_of(self.centres[*tone]),
                        share: Share::new((shares[*tone] / total).min(1.0)).ok()?,
                    })
                });
                let mut before: Vec<JoinedTone> = before.collect();
                before.sort_by(|a, b| b.share.value().total_cmp(&a.share.value()));
                made.joined.push(before);
            }
            let of_members = members.iter().flat_map(|tone| &named_by[*tone]);
            let mut by: Vec<usize> = of_members.copied().collect();
            by.sort_unstable();
            by.dedup();
            made.named_by.push(by);
            made.accent
                .push(members.iter().all(|tone| self.accent[*tone]));
        }
        made.of_point = self.of_point.into_iter().map(|tone| now[tone]).collect();
        made
    }
}

#[cfg(test)]
mod tests {
    use crate::colour::{LabD65, LinearSrgb, OklabPoint, Srgb8, delta_e00};
    use crate::photo::Picture;
    use crate::region::Region;
    use crate::tones::{Count, Tones, bins_for, sorted_to_hold};

    const BRICK: [u8; 3] = [150, 80, 60];
    const CLAY: [u8; 3] = [176, 120, 84];
    const MOSS: [u8; 3] = [90, 110, 50];

    /// Three materials side by side: a half, three tenths, two tenths.
    fn tones(alike: &[Vec<LabD65>]) -> Tones {
        let row: Vec<u8> = [BRICK.repeat(50), CLAY.repeat(30), MOSS.repeat(20)].concat();
        let picture = Picture::from_srgb8(100, 40, row.repeat(40)).unwrap();
        let bins = bins_for(&picture, &Region::whole(), Count::Exactly(3)).bins;
        let (sorted, held) = sorted_to_hold(&bins, Count::Exactly(3), alike).unwrap();
        // What follows a drag says the same.
        let again = held.again(&bins).unwrap();
        assert_eq!(again.tones.len(), sorted.tones.tones.len());
        assert_eq!(again.not_found, sorted.tones.not_found);
        sorted.tones
    }

    fn lab(code: [u8; 3]) -> LabD65 {
        Srgb8(code).into()
    }

    fn near(code: [u8; 3], by: u8) -> LabD65 {
        lab(code.map(|v| v + by))
    }

    #[test]
    fn two_tones_made_one_cover_both_in_the_mean_of_their_pixels() {
        assert_eq!(tones(&[]).tones.len(), 3);
        // Named by colours that have moved a little since.
        let tones = tones(&[vec![near(BRICK, 4), near(CLAY, 3)]]);
        assert_eq!(tones.tones.len(), 2);
        let one = &tones.tones[0];
        assert!((one.share.value() - 0.8).abs() < 0.01, "{one:?}");
        // As drawn: five columns of brick on three of clay, their mean in Oklab.
        let oklab = |code: [u8; 3]| OklabPoint::from(Srgb8(code).to_linear());
        let (brick, clay) = (oklab(BRICK), oklab(CLAY));
        let mean = |brick: f64, clay: f64| (5.0 * brick + 3.0 * clay) / 8.0;
        let mean = OklabPoint {
            l: mean(brick.l, clay.l),
            a: mean(brick.a, clay.a),
            b: mean(brick.b, clay.b),
        };
        let wanted = LabD65::from(LinearSrgb::from(mean));
        assert!(delta_e00(one.colour, wanted).0 < 0.3, "{one:?} {wanted:?}");
        let parts: Vec<f64> = one.joined.iter().map(|part| part.share.value()).collect();
        assert!((parts[0] - 0.5).abs() < 0.01 && (parts[1] - 0.3).abs() < 0.01);
        assert!(tones.tones[1].joined.is_empty() && tones.not_found.is_empty());
    }

    #[test]
    fn groups_that_share_a_tone_are_one_and_what_is_not_there_is_told() {
        let all = tones(&[vec![lab(BRICK), lab(CLAY)], vec![lab(CLAY), lab(MOSS)]]);
        assert_eq!((all.tones.len(), all.tones[0].joined.len()), (1, 3));
        assert_eq!(all.tones[0].named_by, [0, 1]);
        let blue = lab([40, 60, 160]);
        let half = tones(&[vec![lab(BRICK), lab(MOSS), blue], vec![blue, lab(CLAY)]]);
        assert_eq!(half.tones.len(), 2);
        let missing: Vec<&[LabD65]> = half.not_found.iter().map(|n| &n.missing[..]).collect();
        assert_eq!(missing, [[blue], [blue]]);
    }

    #[test]
    fn two_names_for_what_has_become_one_tone_by_itself_ask_for_nothing() {
        let tones = tones(&[vec![near(MOSS, 2), near(MOSS, 0)]]);
        assert_eq!(tones.tones.len(), 3);
        assert!(tones.not_found.is_empty());
    }
}
