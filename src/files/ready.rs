//! Turns the bytes that the build made of a shipped YAML file into typed data, as the YAML library would, some ten times as fast.
//!
//! Only what ships is read this way, and only what reads without any doubt: on every error the caller reads the YAML itself, which
//! also has the better message. A test holds both ways against each other for every shipped file.

use super::marks::{END, LIST, MAP, PLAIN, QUOTED};
use serde::de::value::BorrowedStrDeserializer;
use serde::de::{
    DeserializeOwned, DeserializeSeed, Deserializer, Error as _, MapAccess, SeqAccess, Visitor,
};
use serde::forward_to_deserialize_any;

/// That the bytes do not fit the type; nobody is told more.
type Error = serde::de::value::Error;

/// Reads the whole of the bytes as one value; `None` when they do not fit.
pub fn read<T: DeserializeOwned>(bytes: &'static [u8]) -> Option<T> {
    let mut reader = Reader { rest: bytes };
    let value = T::deserialize(&mut reader).ok()?;
    reader.rest.is_empty().then_some(value)
}

struct Reader {
    rest: &'static [u8],
}

enum Part {
    Plain(&'static str),
    Quoted(&'static str),
    List,
    Map,
}

impl Reader {
    fn mark(&mut self) -> Option<u8> {
        let (&mark, rest) = self.rest.split_first()?;
        self.rest = rest;
        Some(mark)
    }

    fn text(&mut self) -> Option<&'static str> {
        let (length, rest) = self.rest.split_first_chunk::<4>()?;
        let length = usize::try_from(u32::from_le_bytes(*length)).ok()?;
        let (text, rest) = rest.split_at_checked(length)?;
        self.rest = rest;
        std::str::from_utf8(text).ok()
    }

    fn part(&mut self) -> Result<Part, Error> {
        let part = match self.mark() {
            Some(PLAIN) => self.text().map(Part::Plain),
            Some(QUOTED) => self.text().map(Part::Quoted),
            Some(LIST) => Some(Part::List),
            Some(MAP) => Some(Part::Map),
            _ => None,
        };
        part.ok_or_else(|| Error::custom("no part stands here"))
    }

    fn scalar(&mut self) -> Result<&'static str, Error> {
        match self.part()? {
            Part::Plain(text) | Part::Quoted(text) => Ok(text),
            Part::List | Part::Map => Err(Error::custom("no scalar stands here")),
        }
    }

    fn at_end(&self) -> bool {
        self.rest.first().is_none_or(|mark| *mark == END)
    }

    /// Passes the end mark of a list or map whose parts have all been read.
    fn close(&mut self) -> Result<(), Error> {
        match self.mark() {
            Some(END) => Ok(()),
            _ => Err(Error::custom("a part too many stands here")),
        }
    }
}

/// The words for nothing in YAML 1.2.
fn nothing(plain: &str) -> bool {
    matches!(plain, "" | "~" | "null" | "Null" | "NULL")
}

/// A plain scalar by what it looks like (YAML 1.2, core schema). Octal, hexadecimal and the like are left to the YAML library.
fn plain<V: Visitor<'static>>(text: &'static str, visitor: V) -> Result<V::Value, Error> {
    match text {
        _ if nothing(text) => return visitor.visit_unit(),
        "true" | "True" | "TRUE" => return visitor.visit_bool(true),
        "false" | "False" | "FALSE" => return visitor.visit_bool(false),
        _ => {}
    }
    let number = text.trim_start_matches(['+', '-', '.']);
    if !number.starts_with(|c: char| c.is_ascii_digit()) {
        return if ["inf", "nan"].contains(&number.to_ascii_lowercase().as_str()) {
            Err(Error::custom("left to the YAML library"))
        } else {
            visitor.visit_borrowed_str(text)
        };
    }
    let digits = text.strip_prefix('-').unwrap_or(text);
    let led = digits.len() > 1 && digits.starts_with('0') && !digits.starts_with("0.");
    if led || text.starts_with('+') {
        return Err(Error::custom("left to the YAML library"));
    }
    if let Ok(whole) = text.parse::<u64>() {
        visitor.visit_u64(whole)
    } else if let Ok(whole) = text.parse::<i64>() {
        visitor.visit_i64(whole)
    } else if let Ok(number) = text.parse::<f64>() {
        visitor.visit_f64(number)
    } else {
        visitor.visit_borrowed_str(text)
    }
}

impl Deserializer<'static> for &mut Reader {
    type Error = Error;

    fn deserialize_any<V: Visitor<'static>>(self, visitor: V) -> Result<V::Value, Error> {
        match self.part()? {
            Part::Plain(text) => plain(text, visitor),
            Part::Quoted(text) => visitor.visit_borrowed_str(text),
            Part::List => {
                let value = visitor.visit_seq(Parts(&mut *self))?;
                self.close()?;
                Ok(value)
            }
            Part::Map => {
                let value = visitor.visit_map(Parts(&mut *self))?;
                self.close()?;
                Ok(value)
            }
        }
    }

    fn deserialize_str<V: Visitor<'static>>(self, visitor: V) -> Result<V::Value, Error> {
        visitor.visit_borrowed_str(self.scalar()?)
    }

    fn deserialize_string<V: Visitor<'static>>(self, visitor: V) -> Result<V::Value, Error> {
        self.deserialize_str(visitor)
    }

    fn deserialize_identifier<V: Visitor<'static>>(self, visitor: V) -> Result<V::Value, Error> {
        self.deserialize_str(visitor)
    }

    fn deserialize_option<V: Visitor<'static>>(self, visitor: V) -> Result<V::Value, Error> {
        let here = self.rest;
        if let Part::Plain(text) = self.part()?
            && nothing(text)
        {
            return visitor.visit_none();
        }
        self.rest = here;
        visitor.visit_some(self)
    }

    fn deserialize_newtype_struct<V: Visitor<'static>>(
        self,
        _: &'static str,
        visitor: V,
    ) -> Result<V::Value, Error> {
        visitor.visit_newtype_struct(self)
    }

    /// Words only: what YAML writes with a tag is not encoded.
    fn deserialize_enum<V: Visitor<'static>>(
        self,
        _: &'static str,
        _: &'static [&'static str],
        visitor: V,
    ) -> Result<V::Value, Error> {
        let word: BorrowedStrDeserializer<'static, Error> =
            BorrowedStrDeserializer::new(self.scalar()?);
        visitor.visit_enum(word)
    }

    forward_to_deserialize_any! {
        <W: Visitor<'static>>
        bool i8 i16 i32 i64 i128 u8 u16 u32 u64 u128 f32 f64 char bytes byte_buf unit unit_struct seq tuple tuple_struct map struct
        ignored_any
    }
}

/// The parts of a list or map that are still to come.
struct Parts<'r>(&'r mut Reader);

impl SeqAccess<'static> for Parts<'_> {
    type Error = Error;

    fn next_element_seed<S: DeserializeSeed<'static>>(
        &mut self,
        seed: S,
    ) -> Result<Option<S::Value>, Error> {
        if self.0.at_end() {
            return Ok(None);
        }
        seed.deserialize(&mut *self.0).map(Some)
    }
}

impl MapAccess<'static> for Parts<'_> {
    type Error = Error;

    fn next_key_seed<S: DeserializeSeed<'static>>(
        &mut self,
        seed: S,
    ) -> Result<Option<S::Value>, Error> {
        if self.0.at_end() {
            return Ok(None);
        }
        seed.deserialize(&mut *self.0).map(Some)
    }

    fn next_value_seed<S: DeserializeSeed<'static>>(&mut self, seed: S) -> Result<S::Value, Error> {
        seed.deserialize(&mut *self.0)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::files::Content;

    /// The YAML library is the measure: every shipped file has ready bytes, and they say what it reads in the text.
    #[test]
    fn every_shipped_file_reads_as_its_yaml() {
        let content = Content::embedded();
        let mut files = 0;
        for source in content.all().filter(|s| s.name.ends_with(".yaml")) {
            let bytes = source.ready().unwrap_or_else(|| panic!("{}", source.name));
            let ready: serde_yaml::Value =
                read(bytes).unwrap_or_else(|| panic!("{} cannot be read", source.name));
            let yaml: serde_yaml::Value = serde_yaml::from_str(&source.text)
                .unwrap_or_else(|e| panic!("{}: {e}", source.name));
            assert_eq!(ready, yaml, "{}", source.name);
            files += 1;
        }
        assert!(files > 50, "{files}");
    }

    /// A text of the user's with the name of a shipped file is never mistaken for it.
    #[test]
    fn another_text_has_no_ready_bytes() {
        let mut content = Content::embedded();
        let name = "questions/kinds.yaml";
        let text = content.get(name).map(|s| s.text.to_string());
        content.insert(name, name, text.unwrap_or_default());
        assert!(content.get(name).is_some_and(|s| s.ready().is_none()));
    }

    #[test]
    fn scalars_are_what_yaml_1_2_says() {
        let bytes = |text: &str| -> &'static [u8] {
            let mut all = vec![LIST, PLAIN];
            all.extend((text.len() as u32).to_le_bytes());
            all.extend(text.as_bytes());
            all.push(END);
            all.leak()
        };
        for text in [
            "", "~", "null", "true", "False", "1", "-4", "0.15", "1e-3", "C5", "no", "4:30",
            "infra", ".5",
        ] {
            let ready: Option<serde_yaml::Value> = read(bytes(text));
            let yaml: serde_yaml::Value = serde_yaml::from_str(&format!("- {text}")).unwrap();
            assert_eq!(ready, Some(yaml), "{text}");
        }
        // What is left to the YAML library, and what is broken.
        for text in ["0x1F", "007", "+1", ".inf"] {
            assert_eq!(read::<serde_yaml::Value>(bytes(text)), None, "{text}");
        }
        assert_eq!(read::<Vec<String>>(&[LIST, PLAIN, 9, 0, 0, 0, b'a']), None);
    }
}
