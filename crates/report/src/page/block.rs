//! What a page is made of: chapters of blocks, plain data. Every command's report can yield a chapter.

use crate::chart::Chart;

/// A part of the page under one heading.
#[derive(Clone, Debug)]
pub struct Chapter {
    /// Anchor: lower-case letters and hyphens, unique on the page.
    pub id: &'static str,
    /// Heading.
    pub title: String,
    /// The part of the page that opens with this chapter, on a sheet of its own when printed.
    pub opens: Option<&'static str>,
    /// What stands below it, in reading order.
    pub blocks: Vec<Block>,
}

impl Chapter {
    /// An empty chapter.
    #[must_use]
    pub fn new(id: &'static str, title: impl Into<String>) -> Self {
        Self {
            id,
            title: title.into(),
            opens: None,
            blocks: Vec::new(),
        }
    }

    /// As the first of a part of the page.
    #[must_use]
    pub fn opening(mut self, part: &'static str) -> Self {
        self.opens = Some(part);
        self
    }

    /// With one more block.
    #[must_use]
    pub fn with(mut self, block: Block) -> Self {
        self.blocks.push(block);
        self
    }

    /// With a paragraph, unless it is empty.
    #[must_use]
    pub fn text(self, text: impl Into<String>) -> Self {
        let text = text.into();
        if text.trim().is_empty() {
            return self;
        }
        self.with(Block::Text(text))
    }

    /// With a table, unless it has no rows.
    #[must_use]
    pub fn table(self, table: Table) -> Self {
        if table.rows.is_empty() {
            return self;
        }
        self.with(Block::Table(table))
    }
}

/// One piece of a chapter. All text is plain: it is escaped when it is written.
#[derive(Clone, Debug)]
pub enum Block {
    /// The answer: large.
    Lead(Vec<String>),
    /// A paragraph.
    Text(String),
    /// A heading below the chapter's own.
    Heading(String),
    /// A drawing; what it shows is in its own title and description.
    Chart(Box<Chart>),
    /// A drawing, and what is read with it: beside it on paper, below it on a screen.
    Beside(Box<Chart>, Vec<Block>),
    /// Rows and columns.
    Table(Table),
    /// Words with what they mean, where a table would be mostly text: in two columns on paper.
    Terms(Terms),
    /// A card to cut out and tape up.
    Card(Table),
    /// Sentences one below the other.
    List(Vec<String>),
    /// Acts in their order.
    Steps(Vec<String>),
    /// What can hurt someone.
    Warning {
        /// What to beware of.
        short: String,
        /// The number that raised it; may be empty.
        number: String,
        /// What to do.
        text: String,
    },
}

/// A column of a table.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Column {
    /// What it holds, with its unit.
    pub name: String,
    /// Numbers stand at the right.
    pub numbers: bool,
}

/// Rows and columns of text.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Table {
    /// What it says, above it.
    pub caption: String,
    /// Heads.
    pub columns: Vec<Column>,
    /// Cells; the first of a row names it.
    pub rows: Vec<Vec<String>>,
}

impl Table {
    /// A table whose heads of number columns end in `#` here, which is taken off.
    #[must_use]
    pub fn new(caption: impl Into<String>, heads: &[&str]) -> Self {
        let column = |head: &&str| Column {
            name: head.trim_end_matches('#').to_owned(),
            numbers: head.ends_with('#'),
        };
        Self {
            caption: caption.into(),
            columns: heads.iter().map(column).collect(),
            rows: Vec::new(),
        }
    }

    /// Adds a row.
    pub fn row(&mut self, cells: impl IntoIterator<Item = String>) {
        self.rows.push(cells.into_iter().collect());
    }
}

/// Words, each with a value and where it comes from.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Terms {
    /// What they are, above them.
    pub caption: String,
    /// Word, value, source.
    pub rows: Vec<[String; 3]>,
}
