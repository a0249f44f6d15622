//! A JCAMP-DX writer for tests, after the tables of pseudo-digits in McDonald & Wilks 1988,
//! Appl. Spectrosc. 42, 151. It shares no code with the reader.

/// How ordinates are written.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Form {
    Affn,
    Pac,
    Sqz,
    SqzDup,
    Dif,
    DifDup,
    XyPoints,
}

pub const FORMS: [Form; 7] =
    [Form::Affn, Form::Pac, Form::Sqz, Form::SqzDup, Form::Dif, Form::DifDup, Form::XyPoints];

/// One spectrum to write.
#[derive(Clone, Debug)]
pub struct Sheet {
    pub title: String,
    pub first_x: f64,
    pub step: f64,
    pub ordinates: Vec<i64>,
    pub x_units: &'static str,
    pub y_units: &'static str,
    pub x_factor: f64,
    pub y_factor: f64,
    pub form: Form,
    pub points_per_line: usize,
    pub line_end: &'static str,
}

impl Sheet {
    /// Creates an absorbance spectrum from 600 cm⁻¹ in steps of 2 cm⁻¹.
    pub fn new(ordinates: Vec<i64>, form: Form) -> Self {
        Self {
            title: "synthetic".to_owned(),
            first_x: 600.0,
            step: 2.0,
            ordinates,
            x_units: "1/CM",
            y_units: "ABSORBANCE",
            x_factor: 1.0,
            y_factor: 1e-5,
            form,
            points_per_line: 12,
            line_end: "\n",
        }
    }

    /// Returns the abscissa of a point.
    pub fn x(&self, index: usize) -> f64 {
        self.first_x + index as f64 * self.step
    }

    /// Returns the header lines, the data label last.
    pub fn head(&self) -> Vec<String> {
        let count = self.ordinates.len();
        let y = |v: Option<&i64>| *v.expect("ordinates") as f64 * self.y_factor;
        let label = if self.form == Form::XyPoints {
            "##XYPOINTS= (XY..XY)"
        } else {
            "##XYDATA= (X++(Y..Y))"
        };
        vec![
            format!("##TITLE= {}", self.title),
            "##JCAMP-DX= 4.24".to_owned(),
            "##DATA TYPE= INFRARED SPECTRUM".to_owned(),
            "##ORIGIN= made for a test".to_owned(),
            "##OWNER= public domain".to_owned(),
            format!("##XUNITS= {}", self.x_units),
            format!("##YUNITS= {}", self.y_units),
            format!("##XFACTOR= {}", self.x_factor),
            format!("##YFACTOR= {:e}", self.y_factor),
            format!("##FIRSTX= {}", self.x(0)),
            format!("##LASTX= {}", self.x(count - 1)),
            format!("##DELTAX= {}", self.step),
            format!("##NPOINTS= {count}"),
            format!("##FIRSTY= {:e}", y(self.ordinates.first())),
            format!("##MAXY= {:e}", y(self.ordinates.iter().max())),
            format!("##MINY= {:e}", y(self.ordinates.iter().min())),
            label.to_owned(),
        ]
    }

    /// Returns the data lines.
    pub fn body(&self) -> Vec<String> {
        let all = &self.ordinates;
        let per_line = self.points_per_line;
        let start = |index: usize| format!("{}", self.x(index) / self.x_factor);
        let mut lines = Vec::new();
        match self.form {
            Form::XyPoints => {
                for (i, v) in all.iter().enumerate() {
                    lines.push(format!("{}, {v}", start(i)));
                }
            }
            Form::Dif | Form::DifDup => {
                let mut i = 0;
                while i < all.len() {
                    // Each line but the first repeats the last ordinate of the line before.
                    let end = (i + per_line).min(all.len() - 1);
                    let steps: Vec<String> =
                        (i..end).map(|k| difference(all[k + 1] - all[k])).collect();
                    let packed = if self.form == Form::DifDup { counted(&steps) } else { steps };
                    lines.push(format!("{}{}{}", start(i), squeezed(all[i]), packed.concat()));
                    if end == all.len() - 1 {
                        lines.push(format!("{}{}", start(end), squeezed(all[end])));
                        break;
                    }
                    i = end;
                }
            }
            Form::Affn | Form::Pac | Form::Sqz | Form::SqzDup => {
                for (k, chunk) in all.chunks(per_line).enumerate() {
                    let words: Vec<String> = chunk
                        .iter()
                        .map(|&v| match self.form {
                            Form::Affn => format!(" {v}"),
                            Form::Pac => format!("{v:+}"),
                            _ => squeezed(v),
                        })
                        .collect();
                    let packed = if self.form == Form::SqzDup { counted(&words) } else { words };
                    lines.push(format!("{}{}", start(k * per_line), packed.concat()));
                }
            }
        }
        lines
    }

    /// Returns the whole block.
    pub fn text(&self) -> String {
        let mut lines = self.head();
        lines.extend(self.body());
        lines.push("##END=".to_owned());
        lines.iter().map(|line| format!("{line}{}", self.line_end)).collect()
    }
}

/// Puts blocks inside a link block.
pub fn link(blocks: &[String]) -> String {
    let mut text = format!(
        "##TITLE= link\n##JCAMP-DX= 4.24\n##DATA TYPE= LINK\n##BLOCKS= {}\n",
        blocks.len() + 1
    );
    text.extend(blocks.iter().map(String::as_str));
    text + "##END=\n"
}

fn pseudo(value: i64, positive: &str, negative: &str) -> String {
    let digits = value.unsigned_abs().to_string();
    let (first, rest) = digits.split_at(1);
    let row = if value < 0 { negative } else { positive };
    let index: usize = first.parse().expect("a digit");
    format!("{}{rest}", &row[index..=index])
}

fn squeezed(value: i64) -> String {
    pseudo(value, "@ABCDEFGHI", "@abcdefghi")
}

fn difference(value: i64) -> String {
    pseudo(value, "%JKLMNOPQR", "%jklmnopqr")
}

/// Writes runs of the same word as the word and a count that takes it in.
fn counted(words: &[String]) -> Vec<String> {
    let mut out = Vec::new();
    for run in words.chunk_by(|a, b| a == b) {
        out.push(run[0].clone());
        if run.len() > 1 {
            out.push(pseudo(run.len() as i64, "?STUVWXYZs", ""));
        }
    }
    out
}
