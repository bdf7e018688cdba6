//! A layout's files in a browser: read from the worker, and written by handing them back with the answer.

use super::host;
use crate::desk::{FileKind, Keeper, NotKept, SCENE, inside_name};
use crate::problem::{Explain, Place};
use std::collections::BTreeMap;
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};

/// Largest photo, bytes.
pub(super) const MOST_PHOTO: u64 = 100 << 20;
/// Largest text of any kind, bytes; as on a disk.
const MOST_TEXT: u64 = 16 << 20;

/// A file that cannot be read.
#[derive(Debug, thiserror::Error)]
enum UnreadFile {
    #[error("found no file \"{name}\" in this layout, expected {expected}")]
    Missing {
        place: Place,
        name: String,
        expected: &'static str,
    },
    #[error("found that \"{name}\" has {found} bytes, expected at most {most}")]
    TooLarge {
        place: Place,
        name: String,
        found: u64,
        most: u64,
    },
    #[error("found the name \"{name}\", expected a file of this layout")]
    Outside { place: Place, name: String },
    #[error("could not read \"{name}\" from the browser's storage")]
    Storage { place: Place, name: String },
}

impl Explain for UnreadFile {
    fn place(&self) -> Place {
        match self {
            Self::Missing { place, .. }
            | Self::TooLarge { place, .. }
            | Self::Outside { place, .. }
            | Self::Storage { place, .. } => place.clone(),
        }
    }

    fn hint(&self) -> Option<String> {
        match self {
            Self::Missing { .. } => {
                Some("add it to the layout, or load a layout file that holds it".to_owned())
            }
            Self::TooLarge { .. } => Some("save it smaller first".to_owned()),
            Self::Outside { .. } => Some("a page sees the layout's own files alone".to_owned()),
            Self::Storage { .. } => None,
        }
    }
}

/// What a question has written, by name; `None` is a file taken away.
pub(super) type Written = BTreeMap<String, Option<Vec<u8>>>;

/// The layout's files.
#[derive(Debug, Clone, Default)]
pub(super) struct Files {
    written: Arc<Mutex<Written>>,
}

impl Files {
    fn written(&self) -> MutexGuard<'_, Written> {
        self.written.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// What was written since this was asked last.
    pub(super) fn take(&self) -> Written {
        std::mem::take(&mut self.written())
    }

    /// A file, where there is one.
    pub(super) fn get(&self, name: &str) -> Option<Vec<u8>> {
        let name = inside_name(name)?;
        if let Some(written) = self.written().get(&name) {
            return written.clone();
        }
        host::read(&name)
    }

    /// Writes a file, or takes it away.
    pub(super) fn put(&self, name: String, bytes: Option<Vec<u8>>) {
        self.written().insert(name, bytes);
    }

    fn put_if(&self, name: &str, before: Option<&[u8]>, bytes: &[u8]) -> Result<(), NotKept> {
        if self.get(name).as_deref() != before {
            return Err(NotKept::Changed);
        }
        self.put(name.to_owned(), Some(bytes.to_vec()));
        Ok(())
    }

    fn draft_name() -> String {
        format!("{SCENE}.unsaved.json")
    }
}

impl Keeper for Files {
    fn scene(&self) -> Result<Option<Vec<u8>>, Box<dyn Explain>> {
        Ok(self.get(SCENE))
    }

    fn write_scene(&self, before: Option<&[u8]>, text: &[u8]) -> Result<(), NotKept> {
        self.put_if(SCENE, before, text)
    }

    fn read(&self, name: &str, place: &Place, kind: FileKind) -> Result<Vec<u8>, Box<dyn Explain>> {
        let (place, name) = (place.clone(), name.to_owned());
        let Some(inside) = inside_name(&name) else {
            return Err(Box::new(UnreadFile::Outside { place, name }));
        };
        if let Some(Some(bytes)) = self.written().get(&inside) {
            return Ok(bytes.clone());
        }
        let expected = kind.words();
        let Some(found) = host::size(&inside) else {
            return Err(Box::new(UnreadFile::Missing {
                place,
                name,
                expected,
            }));
        };
        let most = match kind {
            FileKind::Photo => MOST_PHOTO,
            _ => MOST_TEXT,
        };
        if found > most {
            return Err(Box::new(UnreadFile::TooLarge {
                place,
                name,
                found,
                most,
            }));
        }
        host::read(&inside)
            .ok_or_else(|| Box::new(UnreadFile::Storage { place, name }) as Box<dyn Explain>)
    }

    fn has(&self, name: &str) -> bool {
        inside_name(name).is_some_and(|name| match self.written().get(&name) {
            Some(written) => written.is_some(),
            None => host::size(&name).is_some(),
        })
    }

    fn write(&self, name: &str, before: Option<&[u8]>, bytes: &[u8]) -> Result<(), NotKept> {
        self.put_if(name, before, bytes)
    }

    fn append(&self, name: &str, line: &str, aside: Option<&str>) -> Result<(), NotKept> {
        let mut text = self.get(name).unwrap_or_default();
        if let Some(aside) = aside {
            let whole = text
                .iter()
                .rposition(|b| *b == b'\n')
                .map_or(0, |at| at + 1);
            let mut cut = self.get(aside).unwrap_or_default();
            cut.extend(text.drain(whole..));
            cut.push(b'\n');
            self.put(aside.to_owned(), Some(cut));
        }
        if !text.is_empty() && !text.ends_with(b"\n") {
            text.push(b'\n');
        }
        text.extend_from_slice(line.as_bytes());
        if !line.ends_with('\n') {
            text.push(b'\n');
        }
        self.put(name.to_owned(), Some(text));
        Ok(())
    }

    fn draft(&self) -> Option<Vec<u8>> {
        self.get(&Self::draft_name())
    }

    fn keep_draft(&self, draft: Option<&[u8]>) -> Result<(), NotKept> {
        self.put(Self::draft_name(), draft.map(<[u8]>::to_vec));
        Ok(())
    }
}
