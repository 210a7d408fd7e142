//! What a page is made of: parts of blocks, the same for HTML and for plain text. Every text in them is foreign until a
//! writer has escaped it.
//! Leaves to others: what stands where (`customer`, `order`, `evidence`), the writers (`html`, `plain`).

/// A page to hand over.
#[derive(Debug)]
pub struct HandoverPage {
    /// Title of the whole.
    pub title: String,
    /// Lines above each of the first two parts: the shop's letterhead.
    pub letterhead: Vec<String>,
    /// Customer, work order, evidence.
    pub parts: Vec<PagePart>,
}

/// One part.
#[derive(Debug)]
pub struct PagePart {
    /// Its name for the style: `customer`, `order`, `evidence`.
    pub name: &'static str,
    /// Its heading.
    pub heading: &'static str,
    /// Its blocks.
    pub blocks: Vec<PageBlock>,
}

/// How a paragraph is meant.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Tone {
    /// Running text.
    Plain,
    /// The finding itself.
    Lead,
    /// Good news.
    Good,
    /// To be looked at again.
    Doubt,
    /// Said aside.
    Aside,
}

/// A block.
#[derive(Debug)]
pub enum PageBlock {
    /// A heading of a section.
    Heading(&'static str),
    /// A paragraph.
    Say(Tone, String),
    /// Labels with their values; what was not told is left to be filled in by hand.
    Facts(Vec<(&'static str, Option<String>)>),
    /// Points.
    Points(Vec<String>),
    /// A table: headings, rows, and from which column on cells are figures.
    Grid(PageGrid),
    /// A figure.
    Figure(PageFigure),
    /// The last seal, with its code.
    Seal(String),
}

/// A table.
#[derive(Debug)]
pub struct PageGrid {
    /// What it shows.
    pub caption: &'static str,
    /// Headings of its columns.
    pub head: Vec<&'static str>,
    /// Its rows.
    pub rows: Vec<Vec<String>>,
}

/// A figure with what it shows.
#[derive(Debug)]
pub struct PageFigure {
    /// What it shows.
    pub caption: &'static str,
    /// Bars, or a night.
    pub drawing: Drawing,
}

/// What is drawn.
#[derive(Debug)]
pub enum Drawing {
    /// Bars one below the other, and a line at a limit with its words.
    Bars {
        /// The bars.
        bars: Vec<FigureBar>,
        /// Where a line stands, and what it is.
        limit: Option<(f64, String)>,
    },
    /// A curve over hours.
    Night(NightCurve),
}

/// What a bar stands for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum BarTone {
    /// A figure as it is.
    Plain,
    /// What is to blame.
    Blame,
    /// Good news.
    Good,
    /// Not known yet.
    Open,
}

/// A bar.
#[derive(Debug)]
pub struct FigureBar {
    /// What it is of.
    pub label: String,
    /// Its figure in words.
    pub shown: String,
    /// Its length.
    pub value: f64,
    /// Its 95 % interval, if it has one.
    pub interval: Option<(f64, f64)>,
    /// What it was before, drawn thin below it.
    pub before: Option<f64>,
    /// What it stands for.
    pub tone: BarTone,
}

/// A night: its curve, rest, average and limit.
#[derive(Debug)]
pub struct NightCurve {
    /// How long it is, in hours.
    pub hours: f64,
    /// From when on it rests, in hours.
    pub rests_after: f64,
    /// The rest, in mA.
    pub level: f64,
    /// Average, in mA, where it is known.
    pub average: Option<f64>,
    /// Limit, in mA, where there is one.
    pub limit: Option<f64>,
    /// Wake-ups: begin and end in hours, height in mA.
    pub wakes: Vec<(f64, f64, f64)>,
    /// The curve in short: when a part begins in hours, its lowest and highest mA. Empty where only wake-ups are known.
    pub spread: Vec<(f64, f64, f64)>,
    /// What stands below its beginning, middle and end.
    pub marks: [String; 3],
    /// What it shows, in words.
    pub shown: String,
}
