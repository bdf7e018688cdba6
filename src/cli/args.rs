//! What was typed, and nothing more: no files are opened here, no defaults of the library known.

use super::scene_path::scene_path;
use clap::{Parser, Subcommand, ValueEnum};
use hillwash::files::MayReplace;
use hillwash::scene::MayName;
use std::path::{Path, PathBuf};

/// Photographs of real brick, stone, roofs and hillsides in; a colour schedule for a scale layout out.
#[derive(Debug, Parser)]
#[command(
    name = "hillwash",
    version,
    about,
    after_help = "Start with `hillwash new my-layout`, then `hillwash plan my-layout/scene.toml`.\nExit codes: 0 done, 1 done but short of a limit you asked for, 2 bad input.",
    max_term_width = 100
)]
pub(crate) struct Args {
    /// What to do. Without a command, a short guide is shown
    #[command(subcommand)]
    pub(crate) command: Option<Command>,

    /// Print the answer and any problems, nothing else
    #[arg(long, short, global = true)]
    pub(crate) quiet: bool,

    /// When to use colour; the environment variable `NO_COLOR` is honoured too
    #[arg(long, global = true, value_name = "WHEN", default_value = "auto")]
    pub(crate) color: When,
}

/// When to use colour.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub(crate) enum When {
    /// When the terminal can show it
    Auto,
    /// Always
    Always,
    /// Never
    Never,
}

impl Args {
    pub(crate) fn colour_choice(&self) -> anstream::ColorChoice {
        match self.color {
            When::Auto => anstream::ColorChoice::Auto,
            When::Always => anstream::ColorChoice::Always,
            When::Never => anstream::ColorChoice::Never,
        }
    }
}

/// The verbs.
#[derive(Debug, Subcommand)]
pub(crate) enum Command {
    /// Make the colour schedule of a scene, or solve a received one for your own paints
    #[command(
        after_help = "Examples:\n  hillwash plan my-layout/scene.toml\n  hillwash plan scene.toml --paints a-friends-list.csv --out for-my-friend\n  hillwash plan received.html --paints paints.csv\n  hillwash plan scene.toml --compare schedule/plan.json"
    )]
    Plan(PlanArgs),
    /// Show the tones of photos, or of a part of them
    #[command(
        after_help = "Examples:\n  hillwash look wall.jpg\n  hillwash look wall.jpg --region 0.1,0.2,0.5,0.8 --neutral 0.9,0.85 --reflectance 0.18\n  hillwash look street.jpg --material \"clay roof tile, red=0.7,0.2,0.9,0.3\"\n  hillwash look kiln.jpg --chart \"0.1,0.1 0.4,0.1 0.4,0.3 0.1,0.3\" --before-after check.png"
    )]
    Look(LookArgs),
    /// Find mixes for a colour, or say what colour a pot will be
    #[command(
        after_help = "Examples:\n  hillwash mix \"#7a5b48\" --paints paints.csv\n  hillwash mix \"lab(48 12 20)\" --paints paints.csv --on-shelf --batch \"12 ml\"\n  hillwash mix --paints paints.csv --try \"3 raw umber, 1 titanium white\" --over \"#a4523a\" --thin 8"
    )]
    Mix(MixArgs),
    /// Hold a photo of a dried test patch against the plan: how close, what to add
    #[command(
        after_help = "Examples:\n  hillwash patch scene.toml dried.jpg --surface \"Kiln wall\" --neutral 0.85,0.5 --reflectance 0.18\n  hillwash patch scene.toml dried.jpg --surface \"Kiln wall\" --mixed \"5 brick red, 1 ivory black\" --region 0.2,0.3,0.5,0.6\n  hillwash patch scene.toml card.jpg --surface \"Kiln wall\" --beside printed --beside-at 0.1,0.3,0.4,0.6 --region 0.6,0.3,0.9,0.6\n  hillwash patch scene.toml dried.jpg --surface \"Kiln wall\" --write-list paints-learnt.csv\n  hillwash patch scene.toml dried-2.jpg --surface \"Kiln wall\" --neutral 0.85,0.5 --reflectance 0.18 --added\n  hillwash patch undo scene.toml"
    )]
    Patch(PatchArgs),
    /// Check a paint list, read one from a photographed card, or see what it can mix
    #[command(
        after_help = "Examples:\n  hillwash paints check paints.csv\n  hillwash paints tidy farben.xlsx paints.csv\n  hillwash paints read card.jpg --grid 4x6 --names names.txt\n  hillwash paints reach paints.csv --out reach.html"
    )]
    #[command(subcommand)]
    Paints(PaintsCommand),
    /// Find the fewest paints that cover a scene: pots, rocks, washes and places
    #[command(
        after_help = "Examples:\n  hillwash trim scene.toml\n  hillwash trim scene.toml --within 2 --most-paints 2\n  hillwash trim scene.toml --from shop.csv\n\nExit code 1: some mix or wash lies beyond what the paints reach."
    )]
    Trim(TrimArgs),
    /// Write completions for a shell, or the man pages
    #[command(
        after_help = "Examples:\n  hillwash shell completions bash > ~/.local/share/bash-completion/completions/hillwash\n  hillwash shell man --out man1"
    )]
    #[command(subcommand)]
    Shell(ShellCommand),
    /// Write a starter scene with an example photo and lists
    #[command(
        after_help = "Example:\n  hillwash new my-layout\n  hillwash plan my-layout/scene.toml"
    )]
    New(NewArgs),
    /// Open a layout: photos, what is drawn on them, paints, schedule, on a page that this machine alone can see
    #[command(
        alias = "mark",
        after_help = "Examples:\n  hillwash open my-layout\n  hillwash open my-layout/scene.toml\n\nA folder need not hold anything yet: photos are dropped onto the page."
    )]
    Open(OpenArgs),
    /// Write the page that needs no program: the files of a web space, or one file
    #[command(
        after_help = "Examples:\n  hillwash site club-page\n  hillwash site stick --one-file\n\nThe core for browsers is made by `bash src/web/build.sh`."
    )]
    Site(SiteArgs),
    /// Write the guide: the first evening, the second, at the bench, with friends; one page with pictures
    #[command(after_help = "Example:\n  hillwash guide --out guide.html")]
    Guide(GuideArgs),
    /// List the measured outdoor materials: colour, spread, how many were measured, by whom
    #[command(
        after_help = "Examples:\n  hillwash materials\n  hillwash materials --paints paints.csv\n  hillwash materials --json\n\nA name goes into a scene as material = \"…\" or like = \"…\", and after `hillwash look --material`."
    )]
    Materials(MaterialsArgs),
    /// Print the JSON Schema of scene files or of plan.json
    #[command(
        after_help = "Examples:\n  hillwash schema scene > scene.schema.json\n  hillwash schema plan > plan.schema.json"
    )]
    Schema(SchemaArgs),
}

/// `shell …`
#[derive(Debug, Subcommand)]
pub(crate) enum ShellCommand {
    /// Print completions for a shell
    #[command(
        after_help = "Example:\n  hillwash shell completions bash > ~/.local/share/bash-completion/completions/hillwash"
    )]
    Completions {
        /// Which shell
        shell: clap_complete::Shell,
    },
    /// Write a man page for the program and for each of its commands
    #[command(
        after_help = "Example:\n  hillwash shell man --out man1\n  man -l man1/hillwash-plan.1"
    )]
    Man {
        /// Folder to make; it must be new or empty
        #[arg(long, value_name = "FOLDER")]
        out: PathBuf,
    },
}

/// `plan`
#[derive(Debug, clap::Args)]
#[expect(
    clippy::struct_excessive_bools,
    reason = "each is a switch that a user types or not"
)]
pub(crate) struct PlanArgs {
    /// The scene file (TOML), or a schedule you received (schedule.html or plan.json) to solve again for your paints
    #[arg(value_parser = scene_path())]
    pub(crate) scene: PathBuf,

    /// Folder for the schedule [default: "schedule" beside the scene; "schedule-for-LIST" beside a received schedule]
    #[arg(long, value_name = "FOLDER")]
    pub(crate) out: Option<PathBuf>,

    /// Use this paint list instead of the scene's own; a received schedule needs one
    #[arg(long, value_name = "FILE")]
    pub(crate) paints: Option<PathBuf>,

    /// Use this scatter list instead of the scene's own
    #[arg(long, value_name = "FILE")]
    pub(crate) scatter: Option<PathBuf>,

    /// Tell what changed since this schedule.html or plan.json
    #[arg(long, value_name = "OLD")]
    pub(crate) compare: Option<PathBuf>,

    /// Leave pictures out of the schedule
    #[arg(long)]
    pub(crate) no_photos: bool,

    /// List all names and words of yours that the schedule would carry, and write nothing
    #[arg(long)]
    pub(crate) what_travels: bool,

    /// Put the core into schedule.html, so that a friend can solve it again for other paints in a browser alone
    #[arg(long)]
    pub(crate) with_solver: bool,

    #[command(flatten)]
    pub(crate) core: CoreArgs,

    /// Let a received schedule take longer than 20 seconds
    #[arg(long)]
    pub(crate) patient: bool,

    /// Write over files that this program did not make
    #[arg(long)]
    pub(crate) force: bool,

    #[command(flatten)]
    pub(crate) outside: OutsideArgs,

    #[command(flatten)]
    pub(crate) photo_limits: PhotoArgs,

    /// Date to print on the schedule, such as 2026-11-25 [default: that of `SOURCE_DATE_EPOCH`, else today]
    #[arg(long, value_name = "DATE")]
    pub(crate) date: Option<jiff::civil::Date>,

    /// Show the fewest paints that bring every mix and wash this near, on the shopping sheet (CIEDE2000)
    #[arg(long, value_name = "DIFFERENCE", allow_negative_numbers = true)]
    pub(crate) trim: Option<f64>,

    /// Mixes at most, at the least cost in difference; bottles used straight do not count
    #[arg(long, value_name = "COUNT", value_parser = clap::value_parser!(u16).range(0..=999))]
    pub(crate) pots: Option<u16>,

    /// Tell everything in the terminal: every surface, mix, step and doubt
    #[arg(long)]
    pub(crate) full: bool,

    #[command(flatten)]
    pub(crate) list: ListArgs,

    #[command(flatten)]
    pub(crate) search: SearchArgs,

    /// Print the plan as JSON as well
    #[arg(long)]
    pub(crate) json: bool,

    #[command(flatten)]
    pub(crate) time: TimeArgs,

    #[command(flatten)]
    pub(crate) cache: CacheArgs,
}

/// Where the core for browsers is.
#[derive(Debug, Clone, clap::Args)]
pub(crate) struct CoreArgs {
    /// The core for browsers, as `src/web/build.sh` makes it [default: "hillwash.core" beside this program]
    #[arg(long, value_name = "FILE")]
    pub(crate) core: Option<PathBuf>,
}

/// Where the time goes.
#[derive(Debug, Clone, Copy, clap::Args)]
pub(crate) struct TimeArgs {
    /// Tell on standard error where the time went: by the clock, and of processors
    #[arg(long)]
    pub(crate) timings: bool,
}

/// What is kept from one run to the next.
#[derive(Debug, Clone, Copy, clap::Args)]
pub(crate) struct CacheArgs {
    /// Neither use nor keep what was seen in photos and mixed before, in the user's folder for such things or in `HILLWASH_CACHE`
    #[arg(long)]
    pub(crate) no_cache: bool,
}

/// How to search for mixes.
#[derive(Debug, Clone, clap::Args)]
pub(crate) struct SearchArgs {
    /// Most paints in one pot
    #[arg(long, value_name = "N", default_value_t = 3, value_parser = clap::value_parser!(u8).range(1..=4))]
    pub(crate) most_paints: u8,

    /// Most parts in one pot
    #[arg(long, value_name = "N", default_value_t = 12, value_parser = clap::value_parser!(u8).range(1..=24))]
    pub(crate) most_parts: u8,

    /// Rank by the predicted difference alone, not by what holds at the bench
    #[arg(long)]
    pub(crate) exact: bool,
}

/// How paint lists are read.
#[derive(Debug, Clone, clap::Args)]
pub(crate) struct ListArgs {
    /// The medium of listed paints that state none: acrylic, enamel, oil …
    #[arg(long, value_name = "MEDIUM")]
    pub(crate) medium: Option<String>,

    /// Use a list that has rows with faults without these rows, and say which
    #[arg(long)]
    pub(crate) skip_bad_rows: bool,
}

/// Which photos are read.
#[derive(Debug, Clone, clap::Args)]
pub(crate) struct PhotoArgs {
    /// Largest photo to read, in megapixels
    #[arg(long, value_name = "N", default_value_t = 100, value_parser = clap::value_parser!(u32).range(1..=2000))]
    pub(crate) megapixels: u32,

    /// Use what can be read of a JPEG that is cut short
    #[arg(long)]
    pub(crate) accept_damaged: bool,
}

/// What is known of a photo's light.
#[derive(Debug, Clone, clap::Args)]
pub(crate) struct LightArgs {
    /// Something known to be neutral: a point "x,y" or a box "left,top,right,bottom", as fractions
    #[arg(long, value_name = "WHERE", conflicts_with = "chart")]
    pub(crate) neutral: Option<String>,

    /// With --neutral: its reflectance (a grey card is 0.18); without it only the white balance is corrected
    #[arg(
        long,
        value_name = "R",
        requires = "neutral",
        allow_negative_numbers = true
    )]
    pub(crate) reflectance: Option<f64>,

    /// A 24-patch colour chart: its outer corners at patches 1, 6, 24 and 19, "x,y x,y x,y x,y"
    #[arg(long, value_name = "CORNERS")]
    pub(crate) chart: Option<String>,

    /// Correct the light by an estimate from the photo itself
    #[arg(long, conflicts_with_all = ["neutral", "chart"])]
    pub(crate) estimate_light: bool,
}

/// `look`
#[derive(Debug, clap::Args)]
pub(crate) struct LookArgs {
    /// Photos
    #[arg(required = true)]
    pub(crate) photos: Vec<PathBuf>,

    /// A measured material that the photo shows, and where: "clay roof tile, red=0.7,0.2,0.9,0.3"; may be given several
    /// times, and beside a grey card or chart (`hillwash materials` lists them)
    #[arg(
        long,
        value_name = "NAME=REGION",
        conflicts_with = "estimate_light",
        allow_hyphen_values = true
    )]
    pub(crate) material: Vec<String>,

    /// The part to look at: "left,top,right,bottom", or the points of an outline "x,y x,y x,y", as fractions
    #[arg(long, value_name = "POINTS", allow_hyphen_values = true)]
    pub(crate) region: Option<String>,

    #[command(flatten)]
    pub(crate) light: LightArgs,

    #[command(flatten)]
    pub(crate) photo_limits: PhotoArgs,

    /// Write the photo as read beside the photo as corrected, as PNG (one photo only)
    #[arg(long, value_name = "FILE.png")]
    pub(crate) before_after: Option<PathBuf>,

    /// How many tones [default: chosen from the photo]
    #[arg(long, value_name = "N", value_parser = clap::value_parser!(u8).range(1..=24))]
    pub(crate) tones: Option<u8>,

    /// Write a picture of where each tone is, as PNG: photo, all tones, one panel a tone, and what was mixed and had no say (one photo only)
    #[arg(long, value_name = "FILE.png")]
    pub(crate) map: Option<PathBuf>,

    /// Say how the number of tones was chosen
    #[arg(long)]
    pub(crate) why: bool,

    /// Answer as JSON
    #[arg(long)]
    pub(crate) json: bool,

    #[command(flatten)]
    pub(crate) time: TimeArgs,
}

/// `mix`
#[derive(Debug, clap::Args)]
pub(crate) struct MixArgs {
    /// The colour wanted: "#7a5b48", "lab(48 12 20)", "oklch(0.5 0.06 50)" …
    #[arg(required_unless_present_any = ["try_parts", "spectrum"], conflicts_with_all = ["try_parts", "spectrum"])]
    pub(crate) colour: Option<String>,

    /// The colour wanted as a measured reflectance, in place of COLOUR: a file of wavelengths and values
    #[arg(long, value_name = "FILE", conflicts_with = "try_parts")]
    pub(crate) spectrum: Option<PathBuf>,

    /// Prefer mixes that hold under --lamps as they do in daylight; needs --spectrum and measured spectra of all paints
    #[arg(long, conflicts_with = "try_parts")]
    pub(crate) steady: bool,

    /// With --steady: a CIE illuminant such as LED-B3, or a temperature such as "4000 K"
    #[arg(
        long,
        value_name = "LAMP",
        requires = "steady",
        default_value = "LED-B1"
    )]
    pub(crate) lamps: String,

    /// Your paint list [default: an invented starter list]
    #[arg(long, value_name = "FILE")]
    pub(crate) paints: Option<PathBuf>,

    /// Mix only from paints with something on hand
    #[arg(long, conflicts_with = "try_parts")]
    pub(crate) on_shelf: bool,

    /// How much to mix: "12 ml", "40 drops"; then each part is told in millilitres, drops and, by its density, grams
    #[arg(long, value_name = "VOLUME", conflicts_with = "try_parts")]
    pub(crate) batch: Option<String>,

    /// Ask the other way round: what colour will this pot be? "3 raw umber, 1 titanium white"
    #[arg(long = "try", value_name = "PARTS", allow_hyphen_values = true)]
    pub(crate) try_parts: Option<String>,

    /// With --try: what it does as a wash over this colour or listed paint
    #[arg(
        long,
        value_name = "BASE",
        requires = "try_parts",
        conflicts_with = "colour"
    )]
    pub(crate) over: Option<String>,

    /// With --over: parts of thinner to 1 part of paint
    #[arg(
        long,
        value_name = "N",
        requires = "over",
        default_value_t = 8.0,
        allow_negative_numbers = true
    )]
    pub(crate) thin: f64,

    /// With --over: passes
    #[arg(long, value_name = "N", requires = "over", default_value_t = 1, value_parser = clap::value_parser!(u8).range(1..=20))]
    pub(crate) passes: u8,

    /// With --over: how much thicker it lies in recesses than on flats
    #[arg(
        long,
        value_name = "TIMES",
        requires = "over",
        default_value_t = 4.0,
        allow_negative_numbers = true
    )]
    pub(crate) pool: f64,

    #[command(flatten)]
    pub(crate) list: ListArgs,

    #[command(flatten)]
    pub(crate) search: SearchArgs,

    /// Answer as JSON
    #[arg(long)]
    pub(crate) json: bool,

    #[command(flatten)]
    pub(crate) time: TimeArgs,
}

/// `paints …`
#[derive(Debug, Subcommand)]
pub(crate) enum PaintsCommand {
    #[command(after_help = "Example:\n  hillwash paints check paints.csv")]
    /// List every fault of a paint list, its near-duplicates and doubtful colours, and what would make its mixes truer
    Check {
        /// The paint list
        list: PathBuf,

        #[command(flatten)]
        how: ListArgs,

        /// Answer as JSON
        #[arg(long)]
        json: bool,
    },
    /// Write a list again in plain form: our own column names, numbers without units; your own columns stay
    #[command(after_help = "Example:\n  hillwash paints tidy farben.xlsx paints.csv")]
    Tidy {
        /// The list as it is
        list: PathBuf,

        /// The clean list to write (a new file)
        out: PathBuf,

        #[command(flatten)]
        how: ListArgs,
    },
    /// Join lists of the same paints from several builders: readings pooled by their errors, contradictions named
    #[command(after_help = "Example:\n  hillwash paints join ann.csv ben.xlsx --out club.csv")]
    Join {
        /// The lists, two or more
        #[arg(required = true, num_args = 2..)]
        lists: Vec<PathBuf>,

        /// The joined list to write (a new file)
        #[arg(long, value_name = "FILE.csv")]
        out: PathBuf,

        #[command(flatten)]
        how: ListArgs,
    },
    /// Read a photographed card of brushed-out paints into a new list
    #[command(
        after_help = "Examples:\n  hillwash paints read card.jpg --grid 4x6 --names names.txt --neutral 0.5,0.95 --reflectance 0.18\n  hillwash paints read card.jpg --grid 4x6 --names names.txt --with-white --out mine.csv\n  hillwash paints read card.jpg --grid 4x6 --corners \"0.1,0.1 0.9,0.1 0.9,0.8 0.1,0.8\"\n\nBrush out each paint twice on white card, in even columns and rows with white between them, lay a grey card\nbeside it, and photograph it from straight above, out of the sun."
    )]
    Read(ReadArgs),
    /// Show what a list can and cannot mix
    #[command(
        after_help = "Examples:\n  hillwash paints reach paints.csv --photo wall.jpg --out reach.html\n  hillwash paints reach paints.csv --out reach.svg"
    )]
    Reach {
        /// The paint list
        list: PathBuf,

        #[command(flatten)]
        how: ListArgs,

        /// Photos whose tones are held against it
        #[arg(long, value_name = "PHOTO")]
        photo: Vec<PathBuf>,

        /// Write it as a page, or as a picture where the name ends in .svg (a new file)
        #[arg(long, value_name = "FILE.html")]
        out: Option<PathBuf>,

        /// Answer as JSON
        #[arg(long)]
        json: bool,
    },
}

/// `paints read`
#[derive(Debug, clap::Args)]
pub(crate) struct ReadArgs {
    /// A photo of the card, with a grey card or a chart in it
    pub(crate) photo: PathBuf,

    /// Columns and rows of its cells: "4x6" is four across, six down
    #[arg(long, value_name = "COLUMNSxROWS")]
    pub(crate) grid: String,

    /// A text file with one name a line, row by row; "-" leaves a cell out
    #[arg(long, value_name = "FILE")]
    pub(crate) names: Option<PathBuf>,

    /// Each paint stands beside its let-down: so many parts of white to one of paint
    #[arg(
        long,
        value_name = "PARTS",
        num_args = 0..=1,
        default_missing_value = "3",
        allow_negative_numbers = true
    )]
    pub(crate) with_white: Option<f64>,

    /// Each paint stands beside one coat of it over black card and one over white, in this order
    #[arg(long)]
    pub(crate) over_cards: bool,

    /// Outer corners of the grid of cells, from the first cell round: "x,y x,y x,y x,y", as fractions [default: found]
    #[arg(long, value_name = "CORNERS", allow_hyphen_values = true)]
    pub(crate) corners: Option<String>,

    /// The list to write (a new file)
    #[arg(long, value_name = "FILE.csv", default_value = "paints.csv")]
    pub(crate) out: PathBuf,

    /// The picture of what was seen (a new file) [default: beside the list]
    #[arg(long, value_name = "FILE.svg")]
    pub(crate) picture: Option<PathBuf>,

    #[command(flatten)]
    pub(crate) light: LightArgs,

    #[command(flatten)]
    pub(crate) photo_limits: PhotoArgs,

    /// Answer as JSON
    #[arg(long)]
    pub(crate) json: bool,
}

/// What else `patch` does.
#[derive(Debug, clap::Subcommand)]
pub(crate) enum PatchVerb {
    /// Take the last reading out of the log beside the scene again
    Undo(PatchUndoArgs),
}

impl PlanArgs {
    /// Which files in the folder of the plan may be replaced.
    pub(crate) fn may_replace(&self) -> MayReplace {
        if self.force {
            MayReplace::Any
        } else {
            MayReplace::Ours
        }
    }
}

/// Which files a scene may name
#[derive(Debug, clap::Args)]
pub(crate) struct OutsideArgs {
    /// Let the scene name files outside its folder
    #[arg(long)]
    allow_outside: bool,
}

impl OutsideArgs {
    pub(crate) fn may_name(&self) -> MayName {
        if self.allow_outside {
            MayName::AnyFolder
        } else {
            MayName::ItsFolder
        }
    }
}

/// `patch undo`
#[derive(Debug, clap::Args)]
pub(crate) struct PatchUndoArgs {
    /// The scene file (TOML)
    #[arg(value_parser = scene_path())]
    pub(crate) scene: PathBuf,

    #[command(flatten)]
    pub(crate) outside: OutsideArgs,
}

/// `patch`
#[derive(Debug, clap::Args)]
#[command(subcommand_negates_reqs = true, args_conflicts_with_subcommands = true)]
#[expect(
    clippy::struct_excessive_bools,
    reason = "flags of a command line, each by itself"
)]
pub(crate) struct PatchArgs {
    #[command(subcommand)]
    pub(crate) verb: Option<PatchVerb>,

    /// The scene file (TOML)
    #[arg(required = true, value_parser = scene_path())]
    scene: Option<PathBuf>,

    /// A photo of the dried patch, with a grey card, a chart or a printed swatch beside it
    #[arg(required = true)]
    photo: Option<PathBuf>,

    /// The surface it is for
    #[arg(long, value_name = "NAME", required = true)]
    surface: Option<String>,

    /// Which of its tones, by number: 1 is the largest
    #[arg(long, value_name = "N", default_value_t = 1)]
    pub(crate) tone: usize,

    /// The patch is of the surface's wash, thinned and laid as planned over the real base: tells how thick it lies
    #[arg(long, conflicts_with_all = ["tone", "write_list"])]
    pub(crate) wash: bool,

    /// What was in the pot, where it was not the plan's mix: "3 raw umber, 1 titanium white"
    #[arg(long, value_name = "PARTS", allow_hyphen_values = true)]
    pub(crate) mixed: Option<String>,

    /// It is of the pot of the last patch, once that was added which was told: its contents are reckoned from the log
    #[arg(long, conflicts_with_all = ["mixed", "wash"])]
    pub(crate) added: bool,

    /// Log it although no mixture of its paints comes near it: the surface and the pot are right
    #[arg(long)]
    pub(crate) log_anyway: bool,

    /// Where the patch is: "left,top,right,bottom", as fractions [default: it is looked for]
    #[arg(long, value_name = "POINTS", allow_hyphen_values = true)]
    pub(crate) region: Option<String>,

    #[command(flatten)]
    pub(crate) light: LightArgs,

    /// Without a grey card: what lies beside the patch. "printed" is the swatch on the bench card, in the planned colour;
    /// or say its colour: "#7a5b48", "lab(48 12 20)", or a listed paint brushed out
    #[arg(
        long,
        value_name = "WHAT",
        requires_all = ["beside_at", "region"],
        conflicts_with_all = ["neutral", "chart", "estimate_light"]
    )]
    pub(crate) beside: Option<String>,

    /// With --beside: where that is, "left,top,right,bottom", as fractions
    #[arg(
        long,
        value_name = "POINTS",
        requires = "beside",
        allow_hyphen_values = true
    )]
    pub(crate) beside_at: Option<String>,

    /// The list that was mixed from, instead of the scene's own
    #[arg(long, value_name = "FILE")]
    pub(crate) paints: Option<PathBuf>,

    /// Do not enter it in the log beside the scene
    #[arg(long)]
    pub(crate) no_log: bool,

    /// Write a copy of the list with the strengths and screen colours that the patches suggest (a new file)
    #[arg(long, value_name = "NEW.csv")]
    pub(crate) write_list: Option<PathBuf>,

    /// Date of the entry, such as 2026-11-25 [default: today]
    #[arg(long, value_name = "DATE")]
    pub(crate) date: Option<jiff::civil::Date>,

    #[command(flatten)]
    pub(crate) outside: OutsideArgs,

    #[command(flatten)]
    pub(crate) photo_limits: PhotoArgs,

    #[command(flatten)]
    pub(crate) list: ListArgs,

    #[command(flatten)]
    pub(crate) search: SearchArgs,

    /// Answer as JSON
    #[arg(long)]
    pub(crate) json: bool,

    #[command(flatten)]
    pub(crate) cache: CacheArgs,
}

impl PatchArgs {
    /// The scene; asked for wherever no other verb is.
    pub(crate) fn scene(&self) -> &Path {
        self.scene.as_deref().unwrap_or(Path::new(""))
    }

    /// The photo, likewise.
    pub(crate) fn photo(&self) -> &Path {
        self.photo.as_deref().unwrap_or(Path::new(""))
    }

    /// The surface, likewise.
    pub(crate) fn surface(&self) -> &str {
        self.surface.as_deref().unwrap_or_default()
    }
}

/// `trim`
#[derive(Debug, clap::Args)]
pub(crate) struct TrimArgs {
    /// The scene file (TOML)
    #[arg(value_parser = scene_path())]
    pub(crate) scene: PathBuf,

    /// How near every colour must come on paper (CIEDE2000)
    #[arg(
        long,
        value_name = "DIFFERENCE",
        default_value_t = 3.0,
        allow_negative_numbers = true
    )]
    pub(crate) within: f64,

    /// Keep what the scene's list has, and choose what to buy from this one
    #[arg(long, value_name = "LIST")]
    pub(crate) from: Option<PathBuf>,

    /// Use this list instead of the scene's own
    #[arg(long, value_name = "FILE")]
    pub(crate) paints: Option<PathBuf>,

    #[command(flatten)]
    pub(crate) outside: OutsideArgs,

    #[command(flatten)]
    pub(crate) photo_limits: PhotoArgs,

    #[command(flatten)]
    pub(crate) list: ListArgs,

    #[command(flatten)]
    pub(crate) search: SearchArgs,

    /// Answer as JSON
    #[arg(long)]
    pub(crate) json: bool,

    #[command(flatten)]
    pub(crate) time: TimeArgs,

    #[command(flatten)]
    pub(crate) cache: CacheArgs,
}

/// `new`
#[derive(Debug, clap::Args)]
pub(crate) struct NewArgs {
    /// Folder to make; it must be new or empty
    pub(crate) folder: PathBuf,
}

/// `open`
#[derive(Debug, clap::Args)]
pub(crate) struct OpenArgs {
    /// The layout's folder, or its scene file; without it, the folder one is in
    #[arg(default_value = ".", hide_default_value = true)]
    pub(crate) layout: PathBuf,

    /// Say the address, but open no browser
    #[arg(long)]
    pub(crate) no_browser: bool,

    /// Print the scene when done, and write nothing
    #[arg(long)]
    pub(crate) print_only: bool,

    #[command(flatten)]
    pub(crate) outside: OutsideArgs,

    /// Stop after so many minutes without use, if everything is saved
    #[arg(long, value_name = "MINUTES", default_value_t = 30, value_parser = clap::value_parser!(u32).range(1..=1440))]
    pub(crate) stop_after: u32,

    #[command(flatten)]
    pub(crate) core: CoreArgs,

    #[command(flatten)]
    pub(crate) photo_limits: PhotoArgs,
}

/// `site`
#[derive(Debug, clap::Args)]
pub(crate) struct SiteArgs {
    /// Folder to make; it must be new or empty
    pub(crate) folder: PathBuf,

    /// Write one file that holds everything, hillwash.html, instead of the files of a web space
    #[arg(long)]
    pub(crate) one_file: bool,

    #[command(flatten)]
    pub(crate) core: CoreArgs,
}

/// `guide`
#[derive(Debug, clap::Args)]
pub(crate) struct GuideArgs {
    /// File to write; it must not be there yet
    #[arg(long, value_name = "FILE", default_value = "hillwash-guide.html")]
    pub(crate) out: PathBuf,
}

/// `materials`
#[derive(Debug, clap::Args)]
pub(crate) struct MaterialsArgs {
    /// Show how near this list comes to each
    #[arg(long, value_name = "FILE")]
    pub(crate) paints: Option<PathBuf>,

    #[command(flatten)]
    pub(crate) list: ListArgs,

    /// Answer as JSON
    #[arg(long)]
    pub(crate) json: bool,
}

/// `schema`
#[derive(Debug, clap::Args)]
pub(crate) struct SchemaArgs {
    /// Which schema
    pub(crate) of: SchemaOf,
}

/// What has a schema.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub(crate) enum SchemaOf {
    /// Scene files, for editors that complete TOML by a JSON Schema
    Scene,
    /// plan.json
    Plan,
}
