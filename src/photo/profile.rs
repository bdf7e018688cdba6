//! What the numbers of a file mean: its ICC profile, turned into linear light.

use super::photo_error::MOST_PROFILE_BYTES;
use crate::colour::LinearSrgb;
use moxcms::{
    ColorProfile, DataColorSpace, Layout, ToneReprCurve, TransformF32Executor, TransformOptions,
};
use serde::{Deserialize, Serialize};
use std::fmt;
use std::sync::Arc;

/// What the channels of a file hold.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Channels {
    /// Grey, in one channel.
    Grey,
    /// Colour, in three.
    Colour,
}

/// How a picture's encoded values become linear light.
#[derive(Clone)]
pub enum Encoding {
    /// The sRGB curve and primaries.
    Srgb,
    /// An embedded profile, by way of linear ITU-R BT.2020, which holds all of Display P3 unclipped.
    Profile(Arc<TransformF32Executor>),
}

impl fmt::Debug for Encoding {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::Srgb => "Srgb",
            Self::Profile(_) => "Profile",
        })
    }
}

/// Which profile was used, for the user to see.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub enum ProfileUsed {
    /// The file has none; sRGB is assumed.
    Assumed,
    /// The file's own, by what it is: its description may hold anything, a camera's number or a name among it.
    Embedded(String),
    /// The file's own cannot be used; sRGB is assumed.
    Unusable,
}

impl fmt::Display for ProfileUsed {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Assumed => f.write_str("sRGB (assumed: the file has no profile)"),
            Self::Embedded(name) => f.write_str(name),
            Self::Unusable => f.write_str("sRGB (assumed: the file's profile cannot be used)"),
        }
    }
}

/// Linear BT.2020 to linear sRGB.
///
/// # Source
/// Primaries of ITU-R BT.2020-2 and IEC 61966-2-1, both under D65; computed from them in double precision.
const BT2020_TO_SRGB: [[f64; 3]; 3] = [
    [
        1.660_491_002_108_435,
        -0.587_641_138_788_55,
        -0.072_849_863_319_885,
    ],
    [
        -0.124_550_474_521_591,
        1.132_899_897_125_96,
        -0.008_349_422_604_369,
    ],
    [
        -0.018_150_763_354_905,
        -0.100_578_898_008_007,
        1.118_729_661_362_913,
    ],
];

impl Encoding {
    /// Linear light of encoded values 0..1, in the primaries of sRGB and not clipped to them.
    #[must_use]
    pub fn to_linear(&self, encoded: &[[f64; 3]]) -> Vec<LinearSrgb> {
        match self {
            Self::Srgb => encoded
                .iter()
                .map(|v| LinearSrgb::from_encoded(*v))
                .collect(),
            Self::Profile(transform) => {
                #[expect(
                    clippy::cast_possible_truncation,
                    reason = "the transform works in single precision"
                )]
                let source: Vec<f32> = encoded.iter().flatten().map(|v| *v as f32).collect();
                let mut wide = vec![0.0_f32; source.len()];
                if transform.transform(&source, &mut wide).is_err() {
                    return encoded
                        .iter()
                        .map(|v| LinearSrgb::from_encoded(*v))
                        .collect();
                }
                wide.chunks_exact(3)
                    .map(|v| {
                        let v = [f64::from(v[0]), f64::from(v[1]), f64::from(v[2])];
                        let [r, g, b] =
                            BT2020_TO_SRGB.map(|row| row[0] * v[0] + row[1] * v[1] + row[2] * v[2]);
                        LinearSrgb { r, g, b }
                    })
                    .collect()
            }
        }
    }

    /// opRGB (IEC 61966-2-5), for files that name it without carrying its profile.
    #[must_use]
    pub(super) fn op_rgb() -> Option<(Self, ProfileUsed)> {
        let transform = transform_from(&ColorProfile::new_adobe_rgb())?;
        let name = "opRGB (IEC 61966-2-5), as the file's EXIF says".to_owned();
        Some((Self::Profile(transform), ProfileUsed::Embedded(name)))
    }

    /// From the bytes of an ICC profile, for a file of such channels.
    ///
    /// Gives `None` when the profile is broken or is not for such a picture.
    #[must_use]
    pub(super) fn from_icc(icc: &[u8], channels: Channels) -> Option<(Self, ProfileUsed)> {
        if icc.len() > MOST_PROFILE_BYTES {
            return None;
        }
        let profile = ColorProfile::new_from_slice(icc).ok()?;
        let fits = match profile.color_space {
            DataColorSpace::Rgb => true,
            // A grey profile's curve is that of an RGB picture whose channels are alike, once primaries are set.
            DataColorSpace::Gray => channels == Channels::Grey,
            _ => false,
        };
        if !fits {
            return None;
        }
        let source = match (profile.color_space, &profile.gray_trc) {
            (DataColorSpace::Gray, Some(curve)) => {
                let mut alike = ColorProfile::new_srgb();
                alike.cicp = None;
                alike.red_trc = Some(curve.clone());
                alike.green_trc = Some(curve.clone());
                alike.blue_trc = Some(curve.clone());
                alike
            }
            (DataColorSpace::Gray, None) => return None,
            _ => profile.clone(),
        };
        let transform = transform_from(&source)?;
        let name = known_name(&profile).to_owned();
        Some((Self::Profile(transform), ProfileUsed::Embedded(name)))
    }
}

/// From a profile's encoded values to linear BT.2020.
fn transform_from(source: &ColorProfile) -> Option<Arc<TransformF32Executor>> {
    let mut wide = ColorProfile::new_bt2020();
    wide.cicp = None;
    let linear = Some(ToneReprCurve::Parametric(vec![1.0]));
    wide.red_trc.clone_from(&linear);
    wide.green_trc.clone_from(&linear);
    wide.blue_trc = linear;
    let options = TransformOptions {
        allow_use_cicp_transfer: false,
        prefer_fixed_point: false,
        ..TransformOptions::default()
    };
    source
        .create_transform_f32(Layout::Rgb, &wide, Layout::Rgb, options)
        .ok()
}

/// How far a primary of a profile may lie off a known one, in XYZ: encoders round to 16 bits and adapt in their own ways.
const SAME_PRIMARY: f64 = 0.002;

/// A name for a profile by its numbers, whatever it calls itself.
fn known_name(profile: &ColorProfile) -> &'static str {
    if profile.color_space == DataColorSpace::Gray {
        return "an embedded grey profile";
    }
    let known = [
        (ColorProfile::new_srgb(), "sRGB (embedded profile)"),
        (
            ColorProfile::new_display_p3(),
            "Display P3 (embedded profile)",
        ),
        (
            ColorProfile::new_adobe_rgb(),
            "opRGB (IEC 61966-2-5, embedded profile)",
        ),
        (
            ColorProfile::new_pro_photo_rgb(),
            "ROMM RGB (ISO 22028-2, embedded profile)",
        ),
        (
            ColorProfile::new_bt2020(),
            "ITU-R BT.2020 (embedded profile)",
        ),
    ];
    let primaries = |of: &ColorProfile| [of.red_colorant, of.green_colorant, of.blue_colorant];
    let own = primaries(profile);
    let same = |other: &ColorProfile| {
        own.iter().zip(primaries(other)).all(|(a, b)| {
            [a.x - b.x, a.y - b.y, a.z - b.z]
                .iter()
                .all(|off| off.abs() < SAME_PRIMARY)
        })
    };
    known
        .iter()
        .find(|(other, _)| same(other))
        .map_or("an embedded profile", |(_, name)| name)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Single-precision transform through the profile connection space.
    const PROFILE_TOLERANCE: f64 = 2e-3;

    #[test]
    fn display_p3_red_lies_outside_srgb_and_is_not_clipped() {
        // Linear sRGB of Display P3 red: primaries of SMPTE EG 432-1 and IEC 61966-2-1, computed.
        let icc = ColorProfile::new_display_p3().encode().unwrap();
        let (encoding, _) = Encoding::from_icc(&icc, Channels::Colour).unwrap();
        let red = encoding.to_linear(&[[1.0, 0.0, 0.0]])[0];
        for (got, wanted) in [(red.r, 1.2249), (red.g, -0.0421), (red.b, -0.0196)] {
            assert!((got - wanted).abs() < PROFILE_TOLERANCE, "{red:?}");
        }
    }

    #[test]
    fn an_srgb_profile_changes_nothing() {
        let icc = ColorProfile::new_srgb().encode().unwrap();
        let (encoding, _) = Encoding::from_icc(&icc, Channels::Colour).unwrap();
        for code in [[0.1, 0.5, 0.9], [0.0, 0.0, 0.0], [1.0, 1.0, 1.0]] {
            let by_profile = encoding.to_linear(&[code])[0];
            let by_curve = LinearSrgb::from_encoded(code);
            for (a, b) in [
                (by_profile.r, by_curve.r),
                (by_profile.g, by_curve.g),
                (by_profile.b, by_curve.b),
            ] {
                assert!(
                    (a - b).abs() < PROFILE_TOLERANCE,
                    "{by_profile:?} {by_curve:?}"
                );
            }
        }
    }

    #[test]
    fn wide_and_grey_profiles_keep_white_and_middle_grey() {
        // White is white in every profile; an encoded 0.5 is 0.5^1.8 in ProPhoto (ISO 22028-2, above its linear toe) and
        // 0.5^2.2 in a grey profile of gamma 2.2.
        let wide = ColorProfile::new_pro_photo_rgb().encode().unwrap();
        let grey = ColorProfile::new_gray_with_gamma(2.2).encode().unwrap();
        for (icc, channels, middle) in [
            (wide, Channels::Colour, 0.5_f64.powf(1.8)),
            (grey, Channels::Grey, 0.5_f64.powf(2.2)),
        ] {
            let (encoding, _) = Encoding::from_icc(&icc, channels).unwrap();
            for (light, wanted) in encoding
                .to_linear(&[[1.0; 3], [0.5; 3]])
                .iter()
                .zip([1.0, middle])
            {
                for got in [light.r, light.g, light.b] {
                    assert!(
                        (got - wanted).abs() < PROFILE_TOLERANCE,
                        "{light:?} {wanted}"
                    );
                }
            }
        }
        let grey = ColorProfile::new_gray_with_gamma(2.2).encode().unwrap();
        assert!(
            Encoding::from_icc(&grey, Channels::Colour).is_none(),
            "a grey profile is not for colour"
        );
    }

    #[test]
    fn a_broken_profile_is_refused_without_a_panic() {
        assert!(Encoding::from_icc(b"", Channels::Colour).is_none());
        assert!(Encoding::from_icc(&[0; 300], Channels::Colour).is_none());
    }

    #[test]
    fn a_profile_is_named_by_its_numbers_and_not_by_its_description() {
        let mut profile = ColorProfile::new_display_p3();
        profile.description = Some(moxcms::ProfileText::PlainString(
            "J. Doe, camera 0123456".to_owned(),
        ));
        let (_, used) = Encoding::from_icc(&profile.encode().unwrap(), Channels::Colour).unwrap();
        assert_eq!(used.to_string(), "Display P3 (embedded profile)");
        profile.red_colorant.x += 0.05;
        let (_, used) = Encoding::from_icc(&profile.encode().unwrap(), Channels::Colour).unwrap();
        assert_eq!(used.to_string(), "an embedded profile");
    }
}
