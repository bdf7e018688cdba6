//! What the user typed, and nothing more: this opens no files and knows no defaults of the library.

use super::scene_path::scene_path;
use clap::{Parser, Subcommand, ValueEnum};
use hillwash::files::MayReplace;
use hillwash::scene::MayName;
use std::path::{Path, PathBuf};

/// Turn photographs of real brick, stone, roofs and hillsides into a colour schedule for a scale layout.
#[derive(Debug, Parser)]
#[command(
    name = "hillwash",
    version,
    about,
    after_help = "Start with `hillwash new my-layout`, then `hillwash plan my-layout/scene.toml`.\nExit codes: 0 done, 1 done but short of a limit you asked for, 2 bad input.",
    max_term_width = 100
)]
pub(crate) struct Args {
    /// What to do. Without a command, a short guide is shown; without a terminal, as by a double click, the page opens
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
    /// Compare a photo of a dried test patch with the plan: how close it is, what to add
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
        after_help = "Examples:\n  hillwash trim scene.toml\n  hillwash trim scene.toml --within 2 --most-paints 2\n  hillwash trim scene.toml --from shop.csv\n\nExit code 1: the paints do not reach some mix or wash."
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
    /// Open a layout in your browser: photos, drawing, paints and schedule on one page that only this machine can see
    #[command(
        alias = "mark",
        after_help = "Examples:\n  hillwash open my-layout\n  hillwash open my-layout/scene.toml\n\nThe folder may be empty: drop photos onto the page."
    )]
    Open(OpenArgs),
    /// Write the page that works without this program: one file, or the files of a web space
    #[command(
        after_help = "Examples:\n  hillwash site club-page\n  hillwash site stick --one-file\n\n`bash src/web/build.sh` makes the core for browsers."
    )]
    Site(SiteArgs),
    /// Write the guide, one page with pictures: the first evening, the second, at the bench, with friends
    #[command(after_help = "Example:\n  hillwash guide --out guide.html")]
    Guide(GuideArgs),
    /// List the measured outdoor materials: colour, spread, how many samples, who measured them
    #[command(
        after_help = "Examples:\n  hillwash materials\n  hillwash materials --paints paints.csv\n  hillwash materials --json\n\nUse a name in a scene as material = \"…\" or like = \"…\", or after `hillwash look --material`."
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

    /// Say what changed since this schedule.html or plan.json
    #[arg(long, value_name = "OLD")]
    pub(crate) compare: Option<PathBuf>,

    /// Leave pictures out of the schedule
    #[arg(long)]
    pub(crate) no_photos: bool,

    /// List all names and words of yours that the schedule would carry, and write nothing
    #[arg(long)]
    pub(crate) what_travels: bool,

    /// Put the program's core into schedule.html, so that a friend can solve it for other paints in a browser
    #[arg(long)]
    pub(crate) with_solver: bool,

    #[command(flatten)]
    pub(crate) core: CoreArgs,

    /// Let a received schedule take longer than 20 seconds
    #[arg(long)]
    pub(crate) patient: bool,

    /// Overwrite files that this program did not make
    #[arg(long)]
    pub(crate) force: bool,

    #[command(flatten)]
    pub(crate) outside: OutsideArgs,

    #[command(flatten)]
    pub(crate) photo_limits: PhotoArgs,

    /// Date to print on the schedule, such as 2026-11-25 [default: that of `SOURCE_DATE_EPOCH`, else today]
    #[arg(long, value_name = "DATE")]
    pub(crate) date: Option<jiff::civil::Date>,

    /// Show on the shopping sheet the fewest paints that bring every mix and wash this near (CIEDE2000)
    #[arg(long, value_name = "DIFFERENCE", allow_negative_numbers = true)]
    pub(crate) trim: Option<f64>,

    /// Make at most this many mixes, with the least loss of match; bottles used straight do not count
    #[arg(long, value_name = "COUNT", value_parser = clap::value_parser!(u16).range(0..=999))]
    pub(crate) pots: Option<u16>,

    /// Print everything in the terminal: every surface, mix, step and doubt
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
    /// Print on standard error how long each part took, by the clock and in processor time
    #[arg(long)]
    pub(crate) timings: bool,
}

/// What is kept from one run to the next.
#[derive(Debug, Clone, Copy, clap::Args)]
pub(crate) struct CacheArgs {
    /// Do not use or keep answers from earlier runs (in your cache folder, or in `HILLWASH_CACHE`)
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

    /// Rank mixes by the predicted difference alone, not by what holds at the bench
    #[arg(long)]
    pub(crate) exact: bool,
}

/// How paint lists are read.
#[derive(Debug, Clone, clap::Args)]
pub(crate) struct ListArgs {
    /// The medium of listed paints that give none: acrylic, enamel, oil …
    #[arg(long, value_name = "MEDIUM")]
    pub(crate) medium: Option<String>,

    /// Leave out the rows of a list that have faults, and say which
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

    /// With --neutral: its reflectance (a grey card has 0.18); without this, only the white balance is corrected
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

    /// A measured material in the photo, and where: "clay roof tile, red=0.7,0.2,0.9,0.3"; you may give several, and a
    /// grey card or chart as well (`hillwash materials` lists the names)
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

    /// Write a PNG of the photo as read beside the photo as corrected (one photo only)
    #[arg(long, value_name = "FILE.png")]
    pub(crate) before_after: Option<PathBuf>,

    /// How many tones [default: chosen from the photo]
    #[arg(long, value_name = "N", value_parser = clap::value_parser!(u8).range(1..=24))]
    pub(crate) tones: Option<u8>,

    /// Write a PNG of where each tone is: the photo, all tones, one panel a tone, and blurred borders that did not count (one photo only)
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

    /// The colour wanted, as a measured reflectance instead of COLOUR: a file of wavelengths and values
    #[arg(long, value_name = "FILE", conflicts_with = "try_parts")]
    pub(crate) spectrum: Option<PathBuf>,

    /// Prefer mixes that match under --lamps as well as in daylight; needs --spectrum and measured spectra of all paints
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

    /// How much to mix: "12 ml", "40 drops"; gives each part in millilitres, drops and, if its density is known, grams
    #[arg(long, value_name = "VOLUME", conflicts_with = "try_parts")]
    pub(crate) batch: Option<String>,

    /// Ask what colour this pot will be: "3 raw umber, 1 titanium white"
    #[arg(long = "try", value_name = "PARTS", allow_hyphen_values = true)]
    pub(crate) try_parts: Option<String>,

    /// With --try: lay it as a wash over this colour or listed paint
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

    /// With --over: number of passes
    #[arg(long, value_name = "N", requires = "over", default_value_t = 1, value_parser = clap::value_parser!(u8).range(1..=20))]
    pub(crate) passes: u8,

    /// With --over: how many times thicker it lies in recesses than on flats
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
    /// Write a list in plain form: the column names of this program, numbers without units; your own columns stay
    #[command(after_help = "Example:\n  hillwash paints tidy farben.xlsx paints.csv")]
    Tidy {
        /// The list as it is
        list: PathBuf,

        /// The clean list to write (a new file)
        out: PathBuf,

        #[command(flatten)]
        how: ListArgs,
    },
    /// Join several builders' lists of the same paints: weight readings by their errors, name contradictions
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
        after_help = "Examples:\n  hillwash paints read card.jpg --grid 4x6 --names names.txt --neutral 0.5,0.95 --reflectance 0.18\n  hillwash paints read card.jpg --grid 4x6 --names names.txt --with-white --out mine.csv\n  hillwash paints read card.jpg --grid 4x6 --corners \"0.1,0.1 0.9,0.1 0.9,0.8 0.1,0.8\"\n\nBrush out each paint twice on white card, in even columns and rows with white between them. Lay a grey card\nbeside it and photograph it from straight above, out of the sun."
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

        /// Photos whose tones to compare with what it can mix
        #[arg(long, value_name = "PHOTO")]
        photo: Vec<PathBuf>,

        /// Write it as a page, or as a picture if the name ends in .svg (a new file)
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

    /// Beside each paint is its let-down: this many parts of white to one of paint
    #[arg(
        long,
        value_name = "PARTS",
        num_args = 0..=1,
        default_missing_value = "3",
        allow_negative_numbers = true
    )]
    pub(crate) with_white: Option<f64>,

    /// Beside each paint are one coat of it over black card and one over white, in this order
    #[arg(long)]
    pub(crate) over_cards: bool,

    /// Outer corners of the grid of cells, going round from the first cell: "x,y x,y x,y x,y", as fractions [default: found]
    #[arg(long, value_name = "CORNERS", allow_hyphen_values = true)]
    pub(crate) corners: Option<String>,

    /// The list to write (a new file)
    #[arg(long, value_name = "FILE.csv", default_value = "paints.csv")]
    pub(crate) out: PathBuf,

    /// The picture of what the program saw (a new file) [default: beside the list]
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
    /// Take the last reading back out of the log beside the scene
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

    /// The surface that the patch is for
    #[arg(long, value_name = "NAME", required = true)]
    surface: Option<String>,

    /// Which of its tones, by number: 1 is the largest
    #[arg(long, value_name = "N", default_value_t = 1)]
    pub(crate) tone: usize,

    /// The patch is of the surface's wash, thinned and laid as planned over the real base: read how thick it lies
    #[arg(long, conflicts_with_all = ["tone", "write_list"])]
    pub(crate) wash: bool,

    /// What was in the pot, if not the plan's mix: "3 raw umber, 1 titanium white"
    #[arg(long, value_name = "PARTS", allow_hyphen_values = true)]
    pub(crate) mixed: Option<String>,

    /// The patch is of the last patch's pot, after you added what was advised: the log says what is in the pot now
    #[arg(long, conflicts_with_all = ["mixed", "wash"])]
    pub(crate) added: bool,

    /// Log the patch even if no mixture of its paints comes near it: surface and pot are right
    #[arg(long)]
    pub(crate) log_anyway: bool,

    /// Where the patch is: "left,top,right,bottom", as fractions [default: found in the photo]
    #[arg(long, value_name = "POINTS", allow_hyphen_values = true)]
    pub(crate) region: Option<String>,

    #[command(flatten)]
    pub(crate) light: LightArgs,

    /// Without a grey card: what is beside the patch. "printed" means the swatch on the bench card, in the planned colour;
    /// otherwise give its colour: "#7a5b48", "lab(48 12 20)", or a listed paint that you brushed out
    #[arg(
        long,
        value_name = "WHAT",
        requires_all = ["beside_at", "region"],
        conflicts_with_all = ["neutral", "chart", "estimate_light"]
    )]
    pub(crate) beside: Option<String>,

    /// With --beside: where it is in the photo, "left,top,right,bottom", as fractions
    #[arg(
        long,
        value_name = "POINTS",
        requires = "beside",
        allow_hyphen_values = true
    )]
    pub(crate) beside_at: Option<String>,

    /// The paint list you mixed from, instead of the scene's own
    #[arg(long, value_name = "FILE")]
    pub(crate) paints: Option<PathBuf>,

    /// Do not enter the patch in the log beside the scene
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
    /// The scene; required unless another verb is given.
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

    /// Keep the paints of the scene's list, and choose what to buy from this list
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
    /// The layout's folder or its scene file [default: the current folder]
    #[arg(default_value = ".", hide_default_value = true)]
    pub(crate) layout: PathBuf,

    /// Print the address, but open no browser
    #[arg(long)]
    pub(crate) no_browser: bool,

    /// Print the scene at the end, and write nothing
    #[arg(long)]
    pub(crate) print_only: bool,

    #[command(flatten)]
    pub(crate) outside: OutsideArgs,

    /// Stop after this many minutes without use, if everything is saved
    #[arg(long, value_name = "MINUTES", default_value_t = 30, value_parser = clap::value_parser!(u32).range(1..=1440))]
    pub(crate) stop_after: u32,

    #[command(flatten)]
    pub(crate) core: CoreArgs,

    #[command(flatten)]
    pub(crate) photo_limits: PhotoArgs,

    #[command(flatten)]
    pub(crate) cache: CacheArgs,
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
    /// File to write; it must not exist yet
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
    /// Scene files, for editors that complete TOML with a JSON Schema
    Scene,
    /// plan.json
    Plan,
}
