//! What the DOCX library leaves out, put into its XML: alternative text and ids of pictures,
//! repeated table headings, the language; and fixed time stamps, so that bytes repeat.

use std::io::{self, Cursor, Read, Write};

use quick_xml::events::{BytesEnd, BytesStart, Event};
use quick_xml::{Reader, Writer};
use zip::write::SimpleFileOptions;
use zip::{CompressionMethod, DateTime, ZipArchive, ZipWriter};

use crate::report::text_tools::xml_forbids;

/// The language of the report.
const LANGUAGE: &str = "en-GB";

/// What is to be put in, in document order.
#[derive(Clone, Debug, Default)]
pub(super) struct Mending {
    title: String,
    pictures: Vec<(String, String)>,
    tables: Vec<Option<String>>,
}

impl Mending {
    pub(super) fn new(title: &str) -> Self {
        Self { title: title.to_owned(), ..Self::default() }
    }

    /// Notes the next picture's title and alternative text.
    pub(super) fn picture(&mut self, title: &str, description: &str) {
        self.pictures.push((title.to_owned(), description.to_owned()));
    }

    /// Notes the next table; a caption means that its first row is a heading to repeat.
    pub(super) fn table(&mut self, caption: Option<&str>) {
        self.tables.push(caption.map(str::to_owned));
    }

    /// Rewrites the package.
    pub(super) fn apply(&self, package: Vec<u8>) -> io::Result<Vec<u8>> {
        let mut archive = ZipArchive::new(Cursor::new(package)).map_err(io::Error::other)?;
        let mut out = ZipWriter::new(Cursor::new(Vec::new()));
        let options = SimpleFileOptions::default()
            .compression_method(CompressionMethod::Deflated)
            .last_modified_time(DateTime::default())
            .unix_permissions(0o644);
        for i in 0..archive.len() {
            let mut file = archive.by_index(i).map_err(io::Error::other)?;
            if file.is_dir() {
                continue;
            }
            let name = file.name().map_err(io::Error::other)?.into_owned();
            let mut bytes = Vec::new();
            file.read_to_end(&mut bytes)?;
            let bytes = match name.as_str() {
                "word/document.xml" => self.part(&text(bytes)?)?,
                "word/styles.xml" => styles(&text(bytes)?),
                "docProps/core.xml" => self.core(),
                _ if name.starts_with("word/") && name.ends_with(".xml") => {
                    // Of another part only the paragraphs are numbered anew.
                    Self::default().part(&text(bytes)?)?
                }
                _ => bytes,
            };
            out.start_file(name, options).map_err(io::Error::other)?;
            out.write_all(&bytes)?;
        }
        Ok(out.finish().map_err(io::Error::other)?.into_inner())
    }

    /// Passes every event of a part through the changes.
    fn part(&self, xml: &str) -> io::Result<Vec<u8>> {
        let mut state =
            State { mending: self, paragraphs: 0, pictures: 0, tables: 0, first_row: false };
        let mut reader = Reader::from_str(xml);
        let mut out = Writer::new(Vec::new());
        loop {
            match reader.read_event().map_err(io::Error::other)? {
                Event::Eof => return Ok(out.into_inner()),
                event => state.event(event, &mut out)?,
            }
        }
    }

    /// Title and language; no dates, no author.
    fn core(&self) -> Vec<u8> {
        let title: String = self.title.chars().filter(|c| !xml_forbids(*c)).collect();
        format!(
            "<?xml version=\"1.0\" encoding=\"UTF-8\" standalone=\"yes\"?>\
             <cp:coreProperties \
             xmlns:cp=\"http://schemas.openxmlformats.org/package/2006/metadata/core-properties\" \
             xmlns:dc=\"http://purl.org/dc/elements/1.1/\"><dc:title>{}</dc:title>\
             <dc:language>{LANGUAGE}</dc:language></cp:coreProperties>",
            quick_xml::escape::escape(title.as_str())
        )
        .into_bytes()
    }
}

fn text(bytes: Vec<u8>) -> io::Result<String> {
    String::from_utf8(bytes).map_err(io::Error::other)
}

type Out = Writer<Vec<u8>>;

/// Where in the document the rewriting is.
struct State<'a> {
    mending: &'a Mending,
    paragraphs: usize,
    pictures: usize,
    tables: usize,
    first_row: bool,
}

impl State<'_> {
    fn event(&mut self, event: Event<'_>, out: &mut Out) -> io::Result<()> {
        match event {
            Event::Start(tag) => self.start(tag, out),
            Event::Empty(tag) => self.empty(tag, out),
            Event::End(tag) if tag.name().as_ref() == "w:tblPr" => {
                if let Some(caption) = self.caption() {
                    let mut shown = BytesStart::new("w:tblCaption");
                    shown.push_attribute(("w:val", caption));
                    out.write_event(Event::Empty(shown))?;
                }
                out.write_event(Event::End(tag))
            }
            other => out.write_event(other),
        }
    }

    /// The caption of the table that is being read.
    fn caption(&self) -> Option<&str> {
        self.mending.tables.get(self.tables.checked_sub(1)?)?.as_deref()
    }

    fn start(&mut self, tag: BytesStart<'_>, out: &mut Out) -> io::Result<()> {
        match tag.name().as_ref() {
            "w:tbl" => {
                self.tables += 1;
                self.first_row = true;
                out.write_event(Event::Start(tag))
            }
            "w:trPr" => {
                out.write_event(Event::Start(tag))?;
                self.heading(out)
            }
            "w:p" => {
                let tag = self.paragraph(&tag)?;
                out.write_event(Event::Start(tag))
            }
            "wp:docPr" => {
                let tag = self.picture();
                out.write_event(Event::Start(tag))
            }
            _ => out.write_event(Event::Start(tag)),
        }
    }

    fn empty(&mut self, tag: BytesStart<'_>, out: &mut Out) -> io::Result<()> {
        match tag.name().as_ref() {
            "w:trPr" if self.first_row && self.caption().is_some() => {
                out.write_event(Event::Start(tag))?;
                self.heading(out)?;
                out.write_event(Event::End(BytesEnd::new("w:trPr")))
            }
            "w:p" => {
                let tag = self.paragraph(&tag)?;
                out.write_event(Event::Empty(tag))
            }
            "wp:docPr" => {
                let tag = self.picture();
                out.write_event(Event::Empty(tag))
            }
            "pic:cNvPr" => out.write_event(Event::Empty(self.numbered("pic:cNvPr"))),
            _ => out.write_event(Event::Empty(tag)),
        }
    }

    /// Marks the first row of a captioned table as a heading that repeats on each page.
    fn heading(&mut self, out: &mut Out) -> io::Result<()> {
        let heads = self.first_row && self.caption().is_some();
        self.first_row = false;
        if heads { out.write_event(Event::Empty(BytesStart::new("w:tblHeader"))) } else { Ok(()) }
    }

    /// A picture's description with an id of its own and its alternative text.
    fn picture(&mut self) -> BytesStart<'static> {
        self.pictures += 1;
        let mut tag = self.numbered("wp:docPr");
        if let Some((title, description)) = self.mending.pictures.get(self.pictures - 1) {
            tag.push_attribute(("descr", description.as_str()));
            tag.push_attribute(("title", title.as_str()));
        }
        tag
    }

    fn numbered(&self, name: &'static str) -> BytesStart<'static> {
        let mut tag = BytesStart::new(name);
        tag.push_attribute(("id", self.pictures.to_string().as_str()));
        tag.push_attribute(("name", format!("Figure {}", self.pictures).as_str()));
        tag
    }

    /// A paragraph whose id counts from 1 in each document, not in each process.
    fn paragraph(&mut self, tag: &BytesStart<'_>) -> io::Result<BytesStart<'static>> {
        self.paragraphs += 1;
        let mut new = BytesStart::new("w:p");
        for attribute in tag.attributes() {
            let attribute = attribute.map_err(io::Error::other)?;
            if attribute.key.as_ref() == "w14:paraId" {
                new.push_attribute(("w14:paraId", format!("{:08X}", self.paragraphs).as_str()));
            } else {
                new.push_attribute(attribute);
            }
        }
        Ok(new)
    }
}

/// States the language in the defaults, so that a screen reader speaks it.
fn styles(xml: &str) -> Vec<u8> {
    let language = format!("<w:lang w:val=\"{LANGUAGE}\" />");
    match xml.find("</w:rPr></w:rPrDefault>") {
        Some(at) => {
            let (before, after) = xml.split_at(at);
            format!("{before}{language}{after}").into_bytes()
        }
        None => xml.as_bytes().to_vec(),
    }
}
