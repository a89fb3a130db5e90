//! Files go to disk all together or not at all.
//!
//! Everything is written under temporary names beside the targets; only when all of it is on disk are the names changed.
//! A run that fails before that leaves earlier output whole.

use crate::error::{Error, Result};
use crate::threads::joined;
use std::fs;
use std::io::{ErrorKind, Write};
use std::path::{Path, PathBuf};

/// Ending of a file that is not complete yet.
const UNFINISHED: &str = "tmp-eavesdraft";

/// A file to write: its name without a folder, and what is in it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct OutputFile {
    /// Name within the output folder.
    pub name: String,
    /// Contents.
    pub bytes: Vec<u8>,
}

/// Writes all `files` into `folder`, which is made when it is missing.
///
/// # Errors
/// `output-folder` when the folder cannot be made or written to; `output-write` when a file cannot be written or put in
/// place. No temporary file stays behind, and unless the last step of all fails between two renames, nothing that was
/// there before has changed.
pub fn write_all(folder: &Path, files: &[OutputFile]) -> Result<()> {
    fs::create_dir_all(folder).map_err(|why| folder_error(folder, &why))?;
    for file in files {
        refuse_blocked_target(folder, &file.name)?;
    }
    let refused = |file: &OutputFile, why: &std::io::Error| match why.kind() {
        ErrorKind::PermissionDenied | ErrorKind::ReadOnlyFilesystem => folder_error(folder, why),
        _ => write_error(folder, &file.name, why),
    };
    let mut written = Unfinished::default();
    // Each file waits for the disk by itself, and from the moment it is written: one after another costs a turn of the disk each.
    std::thread::scope(|scope| {
        let mut waiting = Vec::new();
        for file in files {
            let temporary = folder.join(format!("{}.{UNFINISHED}", file.name));
            written.pairs.push((temporary.clone(), folder.join(&file.name)));
            let open = write_one(&temporary, &file.bytes).map_err(|why| refused(file, &why))?;
            // A full disk or a lost network drive shows here rather than after the renaming.
            waiting.push((file, scope.spawn(move || open.sync_all())));
        }
        waiting.into_iter().try_for_each(|(file, thread)| joined(thread).map_err(|why| refused(file, &why)))
    })?;
    for (file, (temporary, target)) in files.iter().zip(&written.pairs) {
        fs::rename(temporary, target).map_err(|why| write_error(folder, &file.name, &why))?;
    }
    Ok(())
}

/// Temporary files and their targets; those that were not renamed are removed when this goes out of scope.
#[derive(Default)]
struct Unfinished {
    pairs: Vec<(PathBuf, PathBuf)>,
}

impl Drop for Unfinished {
    fn drop(&mut self) {
        for (temporary, _) in &self.pairs {
            // A renamed file is gone already; one that cannot be removed has nobody left to tell.
            let _ = fs::remove_file(temporary);
        }
    }
}

fn write_one(path: &Path, bytes: &[u8]) -> std::io::Result<fs::File> {
    let mut file = fs::File::create(path)?;
    file.write_all(bytes)?;
    Ok(file)
}

/// A folder under a target's name would fail only at the renames, when earlier files are already replaced.
fn refuse_blocked_target(folder: &Path, name: &str) -> Result<()> {
    let target = folder.join(name);
    if target.is_dir() {
        let message = format!("{} cannot be written: a folder of that name is in the way", target.display());
        return Err(Error::unreadable("output-write", message)
            .with_hint("move that folder away, or name another output folder with -o"));
    }
    Ok(())
}

fn folder_error(folder: &Path, why: &std::io::Error) -> Error {
    Error::unreadable("output-folder", format!("the output folder {} cannot be used: {why}", folder.display()))
        .with_hint("name a folder with -o that you may write to, and whose parent is a folder")
}

fn write_error(folder: &Path, name: &str, why: &std::io::Error) -> Error {
    Error::unreadable("output-write", format!("{} cannot be written: {why}", folder.join(name).display()))
        .with_hint("check that the disk has room and that no other program holds the file open")
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::error::Class;

    fn file(name: &str, text: &str) -> OutputFile {
        OutputFile { name: name.into(), bytes: text.into() }
    }

    fn names(folder: &Path) -> Vec<String> {
        let mut names: Vec<String> =
            fs::read_dir(folder).unwrap().map(|e| e.unwrap().file_name().into_string().unwrap()).collect();
        names.sort();
        names
    }

    #[test]
    fn files_arrive_whole_and_replace_older_ones() {
        let root = tempfile::tempdir().unwrap();
        let folder = root.path().join("new").join("deeper");
        write_all(&folder, &[file("a.txt", "old"), file("b.txt", "b")]).unwrap();
        write_all(&folder, &[file("a.txt", "new")]).unwrap();
        assert_eq!(fs::read_to_string(folder.join("a.txt")).unwrap(), "new");
        assert_eq!(names(&folder), ["a.txt", "b.txt"]);
    }

    #[test]
    fn a_folder_under_a_file_is_refused_by_name() {
        let root = tempfile::tempdir().unwrap();
        fs::write(root.path().join("plain"), "a file").unwrap();
        let folder = root.path().join("plain").join("out");
        let error = write_all(&folder, &[file("a.txt", "a")]).unwrap_err();
        assert_eq!((error.class, error.code), (Class::Unreadable, "output-folder"));
        assert!(error.message.contains(&folder.display().to_string()) && error.hint.is_some(), "{error}");
        assert_eq!(fs::read_to_string(root.path().join("plain")).unwrap(), "a file");
    }

    #[test]
    fn a_folder_in_the_way_of_one_file_leaves_all_others_as_they_were() {
        let root = tempfile::tempdir().unwrap();
        write_all(root.path(), &[file("a.txt", "first")]).unwrap();
        fs::create_dir(root.path().join("b.txt")).unwrap();
        let error = write_all(root.path(), &[file("a.txt", "second"), file("b.txt", "b")]).unwrap_err();
        assert_eq!((error.class, error.code), (Class::Unreadable, "output-write"));
        assert!(error.message.contains("b.txt"), "{error}");
        assert_eq!(fs::read_to_string(root.path().join("a.txt")).unwrap(), "first");
        assert_eq!(names(root.path()), ["a.txt", "b.txt"]);
    }

    /// The second temporary file cannot be made; the first must go again and the older output must stay.
    #[test]
    fn a_failure_half_way_removes_what_was_begun() {
        let root = tempfile::tempdir().unwrap();
        write_all(root.path(), &[file("a.txt", "first")]).unwrap();
        let error = write_all(root.path(), &[file("a.txt", "second"), file("missing/b.txt", "b")]).unwrap_err();
        assert_eq!(error.code, "output-write");
        assert_eq!(fs::read_to_string(root.path().join("a.txt")).unwrap(), "first");
        assert_eq!(names(root.path()), ["a.txt"]);
    }
}
