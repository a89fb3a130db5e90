//! Errors: why no drawing can be made.

use crate::finding::Place;

/// What kind of failure, which decides the exit status.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Class {
    /// The drawing or job can be read but a person must settle something first (exit status 1).
    Refused,
    /// The command line, job file or catalogue is wrong (exit status 2).
    Usage,
    /// An input cannot be read, or an output cannot be written (exit status 3).
    Unreadable,
}

/// One failure: what is wrong, where, and what helps.
#[derive(Debug, Clone, PartialEq)]
pub struct Error {
    /// Decides the exit status.
    pub class: Class,
    /// A stable word for scripts, in kebab case.
    pub code: &'static str,
    /// What is wrong.
    pub message: String,
    /// Where. Boxed so that a `Result` stays small.
    pub place: Box<Place>,
    /// What to do about it.
    pub hint: Option<String>,
}

/// The result of anything that can end without a drawing.
pub type Result<T> = std::result::Result<T, Error>;

impl Error {
    /// A drawing or job that a person must settle first.
    #[must_use]
    pub fn refused(code: &'static str, message: impl Into<String>) -> Self {
        Self::new(Class::Refused, code, message)
    }

    /// A wrong command line, job file or catalogue.
    #[must_use]
    pub fn usage(code: &'static str, message: impl Into<String>) -> Self {
        Self::new(Class::Usage, code, message)
    }

    /// An input that cannot be read or an output that cannot be written.
    #[must_use]
    pub fn unreadable(code: &'static str, message: impl Into<String>) -> Self {
        Self::new(Class::Unreadable, code, message)
    }

    fn new(class: Class, code: &'static str, message: impl Into<String>) -> Self {
        Self { class, code, message: message.into(), place: Box::default(), hint: None }
    }

    /// The same error at a place.
    #[must_use]
    pub fn at(mut self, place: Place) -> Self {
        *self.place = place;
        self
    }

    /// The same error with a remedy.
    #[must_use]
    pub fn with_hint(mut self, hint: impl Into<String>) -> Self {
        self.hint = Some(hint.into());
        self
    }
}

impl std::fmt::Display for Error {
    fn fmt(&self, out: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(out, "{}", self.message)?;
        if let Some(line) = self.place.line {
            write!(out, " (line {line})")?;
        }
        if let Some(layer) = &self.place.layer {
            write!(out, " (layer {layer})")?;
        }
        if let Some(handle) = &self.place.handle {
            write!(out, " (handle {handle})")?;
        }
        if let Some(hint) = &self.hint {
            write!(out, "\nhint: {hint}")?;
        }
        Ok(())
    }
}

impl std::error::Error for Error {}
