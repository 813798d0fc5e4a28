//! What a handler answers when it cannot do what was asked.

use axum::extract::Request;
use axum::extract::multipart::MultipartError;
use axum::http::{Method, StatusCode, Uri, header};
use axum::middleware::Next;
use axum::response::{IntoResponse, Response};
use fields::Problems;
use maud::html;

use super::form_token;
use super::view::{diff, layout};

/// Why something was not done.
#[derive(Debug)]
pub(super) enum Refused {
    /// Nothing of that name.
    NotFound(String),
    /// Not allowed to this visitor.
    NotAllowed(&'static str),
    /// The files cannot be read; nothing was computed.
    Problems(Problems),
    /// What was sent cannot be used.
    BadRequest(String),
    /// The file changed since the form was drawn.
    Stale(Box<Stale>),
    /// The disk said no; what was there before is unchanged.
    Disk(anyhow::Error),
    /// The same, with what was sent.
    NotSaved(String, Box<Resend>),
    /// The steps cannot be run on this room.
    Job(String),
    /// It came from a page that is none of ours.
    NotOurPage,
    /// It came from a page of ours that was not drawn for this visitor.
    OldForm(Box<Resend>),
    /// More than is taken.
    TooLarge,
    /// It did not arrive in time.
    TooSlow,
    /// Nothing of that kind can be done at this address.
    NoSuchAct,
    /// It is not what a form of ours sends; with what is wrong in it.
    NotAForm(StatusCode, String),
    /// A mistake of the program; its number stands in the log.
    Fault(String),
}

/// Three versions of one text.
#[derive(Debug)]
pub(super) struct Stale {
    /// The file, as the person knows it.
    pub(super) file: String,
    /// What the visitor wants to save.
    pub(super) yours: String,
    /// What is on the disk now.
    pub(super) on_disk: String,
    /// What the visitor's page was drawn from, where a copy of it is kept.
    pub(super) base: Option<String>,
}

/// Goes with the answer where the disk said no: what happened, in words.
#[derive(Clone, Debug)]
pub(super) struct DiskSaidNo(pub(super) String);

/// What was sent and not taken; it may be looked at and sent again.
#[derive(Debug)]
pub(super) struct Resend {
    /// Where it was sent.
    pub(super) to: String,
    /// Names and texts; none where they could not be read.
    pub(super) fields: Option<Vec<(String, String)>>,
    /// What forms of this visitor carry now.
    pub(super) form_token: String,
}

impl Refused {
    /// An upload that did not come through.
    pub(super) fn upload(error: MultipartError) -> Self {
        match error.status() {
            StatusCode::PAYLOAD_TOO_LARGE => Self::TooLarge,
            _ => Self::BadRequest(format!("The upload broke off: {error}")),
        }
    }

    /// The status that goes with it.
    pub(super) const fn status(&self) -> StatusCode {
        match self {
            Self::NotFound(_) => StatusCode::NOT_FOUND,
            Self::NotAllowed(_) => StatusCode::FORBIDDEN,
            Self::Problems(_) | Self::Job(_) => StatusCode::UNPROCESSABLE_ENTITY,
            Self::BadRequest(_) => StatusCode::BAD_REQUEST,
            Self::Stale(_) => StatusCode::CONFLICT,
            Self::Disk(_) | Self::NotSaved(..) => StatusCode::INSUFFICIENT_STORAGE,
            Self::NotOurPage | Self::OldForm(_) => StatusCode::FORBIDDEN,
            Self::TooLarge => StatusCode::PAYLOAD_TOO_LARGE,
            Self::TooSlow => StatusCode::REQUEST_TIMEOUT,
            Self::NoSuchAct => StatusCode::METHOD_NOT_ALLOWED,
            Self::NotAForm(status, _) => *status,
            Self::Fault(_) => StatusCode::INTERNAL_SERVER_ERROR,
        }
    }

    /// What happened, in a line for a person.
    pub(super) fn words(&self) -> String {
        match self {
            Self::NotFound(what) => format!("{what} is not here."),
            Self::NotAllowed(why) => (*why).to_owned(),
            Self::Problems(all) => match all.len() {
                1 => "One problem in the files; nothing was computed.".to_owned(),
                n => format!("{n} problems in the files; nothing was computed."),
            },
            Self::BadRequest(what) => what.clone(),
            Self::Stale(stale) => format!(
                "{} was changed by somebody else since this page was drawn; nothing was written.",
                stale.file
            ),
            Self::Disk(error) => format!("{error:#}"),
            Self::NotSaved(words, _) => words.clone(),
            Self::Job(what) => what.clone(),
            Self::NotOurPage => {
                "This did not come from a page of this program, so nothing was done.".to_owned()
            }
            Self::OldForm(_) => {
                "The page that this was sent from was drawn before this browser was let in, so nothing was done."
                    .to_owned()
            }
            Self::TooLarge => "What was sent is larger than this page takes; nothing was done. \
                A form may have 256 kB, a zip 100 MB."
                .to_owned(),
            Self::TooSlow => "What was sent did not arrive in time; nothing was done. \
                Go back and send it again, nearer to the network's antenna."
                .to_owned(),
            Self::NoSuchAct => "This cannot be done at this address.".to_owned(),
            Self::NotAForm(_, remark) => format!(
                "What was sent is not what a form of this program sends; nothing was done. {remark}"
            ),
            Self::Fault(number) => format!(
                "A mistake of the program, not of yours. Nothing that was saved is lost. \
                 Report number {number}, which stands in the log with its place."
            ),
        }
    }
}

impl From<Problems> for Refused {
    fn from(problems: Problems) -> Self {
        Self::Problems(problems)
    }
}

impl From<job::JobError> for Refused {
    fn from(error: job::JobError) -> Self {
        Self::Job(error.to_string())
    }
}

tokio::task_local! {
    /// Path of our page that the visitor came from, where the browser told it.
    static CAME_FROM: Option<String>;
}

/// Keeps in mind from which page of ours a visitor comes, for the way back from
/// what was not done: an app on a phone has no button for it.
pub(super) async fn with_way_back(request: Request, next: Next) -> Response {
    let told = request.headers().get(header::REFERER);
    let told = told.and_then(|told| told.to_str().ok()?.parse::<Uri>().ok());
    // Of what was told only path and query are used: the way leads nowhere else.
    let page = told.and_then(|uri| Some(uri.path_and_query()?.to_string()));
    let is_this =
        request.method() == Method::GET && page.as_deref() == Some(&request.uri().to_string());
    CAME_FROM
        .scope(page.filter(|_| !is_this), next.run(request))
        .await
}

fn came_from() -> Option<String> {
    CAME_FROM.try_with(Clone::clone).ok().flatten()
}

impl IntoResponse for Refused {
    fn into_response(self) -> Response {
        let words = self.words();
        let body = html! {
            h1 { (layout::refusal_heading(self.status())) }
            p { (words) }
            @match &self {
                Self::Problems(all) => {
                    ol.problems { @for p in all.iter() { li { (p.to_string()) } } }
                }
                Self::Stale(stale) => { (diff::stale(stale)) }
                Self::OldForm(resend) | Self::NotSaved(_, resend) => { (form_token::again(resend)) }
                _ => {}
            }
            p.ways {
                @if let Some(page) = came_from() { a.button href=(page) { "Back to that page" } " " }
                a href="/" { "All jobs" }
            }
        };
        let mut response = (self.status(), layout::bare(&words, &body)).into_response();
        if matches!(self, Self::Disk(_)) {
            response.extensions_mut().insert(DiskSaidNo(words));
        }
        response
    }
}
