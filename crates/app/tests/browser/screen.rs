//! A browser window, and what a test looks at in it.

use std::io::{BufRead, BufReader};
use std::path::PathBuf;
use std::process::{Child, Command, Stdio};
use std::time::Duration;

use serde_json::json;
use thirtyfour::prelude::*;

use crate::common::root;
use crate::common::web::Server;

/// A window's size in CSS pixels.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct Size {
    pub(crate) name: &'static str,
    width: u32,
    height: u32,
    mobile: bool,
}

pub(crate) const PHONE: Size = Size {
    name: "phone",
    width: 390,
    height: 844,
    mobile: true,
};
pub(crate) const LAPTOP: Size = Size {
    name: "laptop",
    width: 1366,
    height: 768,
    mobile: false,
};

/// The driver's process; ends with its window.
struct Driver(Child);

impl Drop for Driver {
    fn drop(&mut self) {
        let _ = self.0.kill();
        let _ = self.0.wait();
    }
}

/// A window that has been let in.
pub(crate) struct Screen {
    driver: WebDriver,
    _process: Driver,
    _profile: tempfile::TempDir,
    base: String,
    size: Size,
}

impl Screen {
    pub(crate) async fn open(server: &Server, size: Size) -> Self {
        let base = format!("http://127.0.0.1:{}", server.port);
        Self::at(&base, &server.address, size).await
    }

    /// A window at a server's address, led to `first`; it takes any
    /// certificate, as somebody who goes on at the warning.
    pub(crate) async fn at(base: &str, first: &str, size: Size) -> Self {
        let (process, at) = start_driver();
        let profile = tempfile::tempdir().unwrap();
        let mut caps = DesiredCapabilities::chrome();
        for arg in [
            "--headless=new",
            "--no-sandbox",
            "--disable-gpu",
            "--disable-quic",
            "--no-first-run",
            "--disable-background-networking",
            "--disable-component-update",
            "--disable-sync",
            "--hide-scrollbars",
        ] {
            caps.add_arg(arg).unwrap();
        }
        caps.add_arg(&format!("--user-data-dir={}", profile.path().display()))
            .unwrap();
        caps.accept_insecure_certs(true).unwrap();
        let driver = WebDriver::new(&at, caps).await.unwrap();
        // What the content policy forbids is noted before a page can do it.
        driver
            .cdp()
            .send_raw(
                "Page.addScriptToEvaluateOnNewDocument",
                json!({ "source": "window.forbidden = []; addEventListener('securitypolicyviolation', e => window.forbidden.push(e.violatedDirective + ' ' + e.blockedURI + ' ' + e.sample));" }),
            )
            .await
            .unwrap();
        let screen = Self {
            driver,
            _process: process,
            _profile: profile,
            base: base.to_owned(),
            size,
        };
        screen.metrics(size.width, size.height).await;
        screen.driver.goto(first).await.unwrap();
        screen
    }

    pub(crate) async fn close(self) {
        self.driver.quit().await.unwrap();
    }

    pub(crate) async fn go(&self, path: &str) {
        self.driver
            .goto(&format!("{}{path}", self.base))
            .await
            .unwrap();
    }

    /// Leaves a picture of the whole page in `target/screens/`.
    pub(crate) async fn picture(&self, path: &str) {
        let name: String = path
            .chars()
            .map(|c| if c.is_ascii_alphanumeric() { c } else { '_' })
            .collect();
        let folder = screens().join(self.size.name);
        std::fs::create_dir_all(&folder).unwrap();
        let height = self
            .script("return document.documentElement.scrollHeight")
            .await
            .as_f64()
            .unwrap();
        let shot = self
            .driver
            .cdp()
            .send_raw(
                "Page.captureScreenshot",
                json!({
                    "format": "png", "captureBeyondViewport": true,
                    "clip": {
                        "x": 0, "y": 0, "width": self.size.width,
                        "height": height.min(8000.0), "scale": 1,
                    },
                }),
            )
            .await
            .unwrap();
        let bytes = base64(shot["data"].as_str().unwrap());
        std::fs::write(folder.join(format!("{name}.png")), bytes).unwrap();
    }

    /// Cuts the window off from the network, or joins it again.
    pub(crate) async fn cut_off(&self, is: bool) {
        let so = json!({
            "offline": is, "latency": 0, "downloadThroughput": -1, "uploadThroughput": -1,
        });
        let cdp = self.driver.cdp();
        cdp.send_raw("Network.enable", json!({})).await.unwrap();
        cdp.send_raw("Network.emulateNetworkConditions", so)
            .await
            .unwrap();
    }

    /// Opens one more tab and goes on in it.
    pub(crate) async fn in_new_tab(&self) {
        let tab = self.driver.new_tab().await.unwrap();
        self.driver.switch_to_window(tab).await.unwrap();
        self.metrics(self.size.width, self.size.height).await;
    }

    /// Keeps nothing that was fetched, as somebody who comes for the first time.
    pub(crate) async fn keep_nothing(&self) {
        let cdp = self.driver.cdp();
        cdp.send_raw("Network.enable", json!({})).await.unwrap();
        let so = json!({ "cacheDisabled": true });
        cdp.send_raw("Network.setCacheDisabled", so).await.unwrap();
    }

    /// What was fetched for the page: how many files, and their bytes on the
    /// wire with their heads.
    pub(crate) async fn fetched(&self) -> (u64, u64) {
        let told = self
            .script(
                "const all = ['navigation', 'resource'].flatMap(k => performance.getEntriesByType(k));
                 return [all.length, all.reduce((bytes, e) => bytes + e.transferSize, 0)]",
            )
            .await;
        serde_json::from_value(told).unwrap()
    }

    /// Runs no script of any page from now on.
    pub(crate) async fn without_script(&self) {
        self.driver
            .cdp()
            .send_raw(
                "Emulation.setScriptExecutionDisabled",
                json!({ "value": true }),
            )
            .await
            .unwrap();
    }

    /// Chooses a file.
    pub(crate) async fn choose(&self, css: &str, file: &std::path::Path) {
        let file = file.to_str().unwrap();
        self.with(css, async |field| field.send_keys(file).await)
            .await;
    }

    pub(crate) async fn script(&self, text: &str) -> serde_json::Value {
        let done = self.driver.execute(text, Vec::new()).await.unwrap();
        done.json().clone()
    }

    async fn list(&self, text: &str) -> Vec<String> {
        serde_json::from_value(self.script(text).await).unwrap()
    }

    /// Runs a script that takes arguments and answers when it is done.
    pub(crate) async fn script_later(&self, text: &str) -> serde_json::Value {
        let done = self.driver.execute_async(text, Vec::new()).await.unwrap();
        done.json().clone()
    }

    /// By how much the page is wider than the window \[px\].
    pub(crate) async fn wide_px(&self) -> u64 {
        let wide = self
            .script("return Math.max(0, document.documentElement.scrollWidth - innerWidth)")
            .await;
        wide.as_u64().unwrap()
    }

    /// Controls that are shown and lower than 48 px.
    pub(crate) async fn small_controls(&self) -> Vec<String> {
        self.list(
            "return [...document.querySelectorAll('button, input:not([type=hidden]):not([type=radio]):not([type=checkbox]), select, textarea, summary, a.button')]
               .filter(e => e.checkVisibility() && e.getBoundingClientRect().height < 47.5)
               .map(e => e.outerHTML.slice(0, 120))",
        )
        .await
    }

    /// Controls that are in the wrong place or size for a thumb in a glove: a
    /// main action lower than 72 px, or one that takes something away nearer
    /// than 24 px to another control.
    pub(crate) async fn ill_placed_controls(&self) -> Vec<String> {
        self.list(
            "const all = [...document.querySelectorAll('button, input:not([type=hidden]), select, textarea, summary, a.button')].filter(e => e.checkVisibility());
             const box = new Map(all.map(e => [e, e.getBoundingClientRect()]));
             const gap = (a, b) => Math.max(b.left - a.right, a.left - b.right, b.top - a.bottom, a.top - b.bottom);
             const low = all.filter(e => e.matches('.main') && box.get(e).height < 71.5).map(e => 'low: ' + e.outerHTML.slice(0, 120));
             const near = all.filter(e => e.matches('.grave'))
               .flatMap(e => all.filter(o => o !== e && gap(box.get(e), box.get(o)) < 23.5)
                 .map(o => 'near: ' + e.outerHTML.slice(0, 80) + ' and ' + o.outerHTML.slice(0, 80)));
             return [...low, ...near]",
        )
        .await
    }

    /// On pages for gloves: controls lower than 64 px.
    pub(crate) async fn low_in_gloves(&self) -> Vec<String> {
        self.list(
            "return [...document.querySelectorAll('.field-page :is(button, input[type=text], select, textarea, summary, a.button)')]
               .filter(e => e.checkVisibility() && e.getBoundingClientRect().height < 63.5)
               .map(e => e.outerHTML.slice(0, 120))",
        )
        .await
    }

    /// Elements of which a part is cut off and cannot be scrolled to.
    pub(crate) async fn cut_off_texts(&self) -> Vec<String> {
        self.list(
            "const clips = v => v === 'hidden' || v === 'clip';
             return [...document.querySelectorAll('body *:not(svg *):not(input):not(select):not(textarea)')]
               .filter(e => e.checkVisibility())
               .filter(e => { const s = getComputedStyle(e);
                 if (s.clipPath !== 'none') return false; // for those who listen only
                 return (clips(s.overflowX) && e.clientWidth + 1 < e.scrollWidth)
                   || (clips(s.overflowY) && e.clientHeight + 1 < e.scrollHeight); })
               .map(e => e.outerHTML.slice(0, 120))",
        )
        .await
    }

    /// Controls that have the focus under something that stays in its place.
    pub(crate) async fn covered_in_focus(&self) -> Vec<String> {
        self.list(
            "const stays = e => { for (; e; e = e.parentElement) if (['fixed', 'sticky'].includes(getComputedStyle(e).position)) return true; return false; };
             const found = [];
             for (const e of document.querySelectorAll('a[href], button, input:not([type=hidden]), select, textarea, summary')) {
               if (!e.checkVisibility() || stays(e)) continue;
               e.focus();
               const box = e.getBoundingClientRect();
               for (const y of [box.top + 2, (box.top + box.bottom) / 2, box.bottom - 2]) {
                 const over = document.elementFromPoint((box.left + box.right) / 2, y);
                 if (over && !e.contains(over) && stays(over)) { found.push(e.outerHTML.slice(0, 120)); break; }
               }
             }
             document.activeElement?.blur();
             scrollTo(0, 0);
             return found",
        )
        .await
    }

    /// The page as it is printed, or as it is on the screen.
    pub(crate) async fn on_paper(&self, is: bool) {
        let media = if is { "print" } else { "" };
        let so = json!({ "media": media });
        let cdp = self.driver.cdp();
        cdp.send_raw("Emulation.setEmulatedMedia", so)
            .await
            .unwrap();
    }

    /// Judgements that say by colour alone what they say: no word, no mark, or
    /// one that another judgement has too.
    pub(crate) async fn told_by_colour(&self) -> Vec<String> {
        self.list(
            r"const signs = new Map();
             const found = [];
             const judged = [
               ...[...document.querySelectorAll('.findings > li')].map(e => [e.className, e.querySelector('.severity')?.textContent ?? '']),
               ...[...document.querySelectorAll('.step[data-standing]')].map(e => [e.dataset.standing,
                 (e.querySelector('.mark')?.textContent ?? '') + ' ' + (e.querySelector('.standing b')?.textContent ?? '')]),
             ];
             for (const [kind, text] of judged) {
               const [mark, ...words] = text.trim().split(/\s+/);
               if (!mark || !words.join('').match(/[a-z]{3}/i)) found.push(`${kind}: ${text}`);
               signs.set(`${kind}`, `${mark} ${words.join(' ')}`);
             }
             if (new Set(signs.values()).size < signs.size) found.push([...signs].join('; '));
             return found",
        )
        .await
    }

    /// Texts with less contrast than 7:1, and borders of controls with less
    /// than 3:1, in this theme; drawings keep their own colours.
    pub(crate) async fn faint(&self, theme: &str) -> Vec<String> {
        self.script(&format!(
            "document.documentElement.dataset.theme = '{theme}'"
        ))
        .await;
        self.list(
            r"const numbers = c => c.match(/[\d.]+/g).map(Number);
             const light = c => { const [r, g, b] = numbers(c).map(v => { v /= 255; return v <= 0.04045 ? v / 12.92 : ((v + 0.055) / 1.055) ** 2.4; }); return 0.2126 * r + 0.7152 * g + 0.0722 * b; };
             const ratio = (a, b) => { const [x, y] = [light(a), light(b)].sort((p, q) => q - p); return (x + 0.05) / (y + 0.05); };
             const isClear = c => numbers(c)[3] === 0;
             const ground = e => { for (; e; e = e.parentElement) { const c = getComputedStyle(e).backgroundColor; if (!isClear(c)) return c; } return 'rgb(255, 255, 255)'; };
             const told = (what, e, r) => what + ' ' + r.toFixed(2) + ': ' + e.outerHTML.slice(0, 110);
             const found = [];
             for (const e of document.querySelectorAll('body *:not(svg *)')) {
               if (!e.checkVisibility()) continue;
               const style = getComputedStyle(e);
               if ([...e.childNodes].some(n => n.nodeType === 3 && n.data.trim())) {
                 const r = ratio(style.color, ground(e));
                 if (r < 7) found.push(told('text', e, r));
               }
               if (e.matches('button, input:not([type=hidden]), select, textarea, a.button')) {
                 const r = ratio(style.borderTopColor, ground(e.parentElement));
                 if (r < 3 && ratio(ground(e), ground(e.parentElement)) < 3) found.push(told('border', e, r));
               }
             }
             const focus = getComputedStyle(document.documentElement).getPropertyValue('--focus-out').trim();
             const probe = document.createElement('i'); probe.style.color = focus; document.body.append(probe);
             for (const e of [document.body, document.querySelector('main')]) {
               const r = ratio(getComputedStyle(probe).color, ground(e));
               if (r < 3) found.push(told('focus', e, r));
             }
             probe.remove();
             return found",
        )
        .await
    }

    /// Makes the window as narrow as 320 px, and texts twice as large if asked.
    pub(crate) async fn narrow(&self, twice: bool) {
        self.metrics(320, self.size.height).await;
        let size = if twice { "225%" } else { "" };
        self.script(&format!(
            "document.documentElement.style.fontSize = '{size}'"
        ))
        .await;
    }

    /// The window as it was.
    pub(crate) async fn as_before(&self) {
        self.metrics(self.size.width, self.size.height).await;
        self.script("document.documentElement.style.fontSize = ''")
            .await;
    }

    async fn metrics(&self, width: u32, height: u32) {
        self.driver
            .cdp()
            .send_raw(
                "Emulation.setDeviceMetricsOverride",
                json!({
                    "width": width, "height": height,
                    "deviceScaleFactor": 1, "mobile": self.size.mobile,
                }),
            )
            .await
            .unwrap();
    }

    /// What the content policy forbade on this page.
    pub(crate) async fn forbidden(&self) -> Vec<String> {
        self.list("return window.forbidden ?? []").await
    }

    /// Elements with a style or an event in an attribute.
    pub(crate) async fn inline(&self) -> Vec<String> {
        self.list(
            "return [...document.querySelectorAll('*')]
               .filter(e => [...e.attributes].some(a => a.name === 'style' || a.name.startsWith('on')))
               .map(e => e.outerHTML.slice(0, 120))",
        )
        .await
    }

    pub(crate) async fn count(&self, css: &str) -> usize {
        self.driver.find_all(By::Css(css)).await.unwrap().len()
    }

    /// Own pages that are linked to: paths without query and fragment.
    pub(crate) async fn links(&self) -> Vec<String> {
        self.list(
            "return [...new Set([...document.querySelectorAll('a[href]:not([download])')]
               .map(a => new URL(a.href))
               .filter(u => u.origin === location.origin)
               .map(u => u.pathname))]",
        )
        .await
    }

    /// Does something with an element. A page that loads itself anew, or an
    /// answer with a new drawing, may put another in its place between looking
    /// and acting: then with that one.
    async fn with<T>(&self, css: &str, act: impl AsyncFn(&WebElement) -> WebDriverResult<T>) -> T {
        let mut left = 10;
        loop {
            match act(&self.element(css).await).await {
                Ok(done) => return done,
                Err(why) => {
                    left -= 1;
                    assert!(0 < left, "{css}: {why}");
                }
            }
            tokio::time::sleep(Duration::from_millis(200)).await;
        }
    }

    async fn element(&self, css: &str) -> WebElement {
        let found = self.driver.query(By::Css(css));
        found
            .wait(Duration::from_secs(10), Duration::from_millis(50))
            .first()
            .await
            .unwrap()
    }

    /// Scrolls something to the middle of the window.
    async fn centre(&self, element: &WebElement) -> WebDriverResult<()> {
        let script = "arguments[0].scrollIntoView({ block: 'center', inline: 'center' })";
        let element = vec![element.to_json()?];
        self.driver.execute(script, element).await.map(drop)
    }

    /// What stands in the field of this name.
    pub(crate) async fn value(&self, name: &str) -> String {
        let css = format!("[name='{name}']");
        let value = self.with(&css, async |field| field.prop("value").await);
        value.await.unwrap_or_default()
    }

    pub(crate) async fn text(&self, css: &str) -> String {
        self.with(css, async |element| element.text().await).await
    }

    pub(crate) async fn press(&self, css: &str) {
        self.with(css, async |element| {
            element.scroll_into_view().await?;
            element.click().await
        })
        .await;
    }

    /// Taps at so many pixels from the middle of something.
    pub(crate) async fn tap(&self, css: &str, (right, down): (i64, i64)) {
        self.with(css, async |element| {
            self.centre(element).await?;
            let chain = self.driver.action_chain();
            let there = chain.move_to_element_with_offset(element, right, down);
            there.click().perform().await
        })
        .await;
    }

    /// Drags something by so many pixels.
    pub(crate) async fn drag(&self, css: &str, right: i64, down: i64) {
        self.with(css, async |element| {
            self.centre(element).await?;
            let chain = self.driver.action_chain();
            let held = chain.move_to_element_center(element).click_and_hold();
            let half = held.move_by_offset(right / 2, down / 2);
            let whole = half.move_by_offset(right - right / 2, down - down / 2);
            whole.release().perform().await
        })
        .await;
    }

    /// Types keys into something that has the focus.
    pub(crate) async fn keys(&self, css: &str, keys: &str) {
        self.with(css, async |element| {
            self.centre(element).await?;
            element.focus().await?;
            element.send_keys(keys).await
        })
        .await;
    }

    /// Writes into the field of this name in place of what stands there.
    pub(crate) async fn write(&self, name: &str, text: &str) {
        let css = format!("[name='{name}']");
        self.with(&css, async |field| {
            field.clear().await?;
            field.send_keys(text).await
        })
        .await;
    }

    /// Waits until a field holds something else.
    pub(crate) async fn wait_changed(&self, name: &str, before: &str) {
        for _ in 0..200 {
            if self.value(name).await != before {
                return;
            }
            tokio::time::sleep(Duration::from_millis(50)).await;
        }
        panic!("{name} is still {before}");
    }

    /// Waits until something says these words.
    pub(crate) async fn wait_text(&self, css: &str, words: &str) {
        for _ in 0..400 {
            // Between two pages there may be none.
            let found = self.driver.find_all(By::Css(css)).await;
            for element in found.unwrap_or_default() {
                if element.text().await.unwrap_or_default().contains(words) {
                    return;
                }
            }
            tokio::time::sleep(Duration::from_millis(50)).await;
        }
        panic!("{css} does not say {words}");
    }
}

fn screens() -> PathBuf {
    root().join("target/screens")
}

/// Starts a driver on a port of its own choice; where several start at once,
/// one may find its port taken.
fn start_driver() -> (Driver, String) {
    (0..5)
        .find_map(|_| try_driver())
        .expect("chromedriver does not start")
}

fn try_driver() -> Option<(Driver, String)> {
    let mut child = Command::new("chromedriver")
        .arg("--port=0")
        .stdout(Stdio::piped())
        .stderr(Stdio::null())
        .spawn()
        .expect("chromedriver is missing: install the packages chromium and chromium-driver, or run cargo xtask test, which does");
    let out = BufReader::new(child.stdout.take().unwrap());
    let port: Option<u16> = out.lines().map_while(Result::ok).find_map(|line| {
        let (_, port) = line.split_once("started successfully on port ")?;
        port.trim_end_matches('.').parse().ok()
    });
    let driver = Driver(child);
    Some((driver, format!("http://127.0.0.1:{}", port?)))
}

/// Bytes of a text in base 64.
fn base64(text: &str) -> Vec<u8> {
    const SIGNS: &[u8] = b"ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/";
    let mut bytes = Vec::new();
    let (mut held, mut bits) = (0_u32, 0);
    for sign in text.bytes().filter(|b| *b != b'=') {
        let six = SIGNS.iter().position(|s| *s == sign).unwrap() as u32;
        held = (held << 6) | six;
        bits += 6;
        if 8 <= bits {
            bits -= 8;
            bytes.push((held >> bits) as u8);
            held &= (1 << bits) - 1;
        }
    }
    bytes
}
