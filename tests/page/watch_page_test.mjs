// The watch page in Debian's Chromium, over a run of the real daemon. Usage: node watch_page_test.mjs NOONFALLD FOLDER
import {spawn} from "node:child_process";
import {existsSync, mkdirSync, readFileSync, rmSync, writeFileSync} from "node:fs";
import {join} from "node:path";

const chromium = "/usr/bin/chromium";
const [daemon, folder] = process.argv.slice(2);
const playwright = await import("playwright-core").catch(() => null);
if (!playwright) {
  console.log("SKIPPED: no playwright-core; npm ci in tests/page brings it");
  process.exit(0);
}
if (!existsSync(chromium)) {
  console.log("SKIPPED: no " + chromium);
  process.exit(0);
}

let failed = 0;
const check = (what, so, found) => {
  console.log((so ? "ok   " : "FAIL ") + what + (so || found === undefined ? "" : ": " + JSON.stringify(found)));
  if (!so) ++failed;
};

const markup = "<img src=x onerror=\"document.title='owned'\">";
// An invented field under the total eclipse of 2020-12-14.
const plan = `noonfall: 1
title: '${markup.replaceAll("'", "''")}'
eclipse: 2020-12-14
site: {latitude: -39.5, longitude: -70.5, elevation: 900 m}
rigs:
  long:
    body: {simulate: mirrorless-20}
    lens: {focal_length: 600 mm}
    sensor: {width: 35.9 mm, height: 23.9 mm, pixel: 5.9 um}
    mount: tracking
    exposure: {aperture: f/8, iso: 200}
    files: raw
    filter: {density: 5.0, opens: C2 - 30 s, closes: C3 + 30 s, handling: 8 s}
  "<b>wide</b>":
    body: {simulate: mirror-24}
    lens: {focal_length: 24 mm}
    mount: fixed
    exposure: {aperture: f/8, iso: 400}
    files: raw
    filter: none
steps:
  - name: early
    rig: long
    subject: photosphere
    from: C2 - 150 s
    until: C2 - 140 s
    every: 20 s
    patience: 4 s
    exposure: {shutter: 1/500}
  - name: aim again
    hands: long
    from: C2 - 60 s
    until: C2 - 50 s
  - name: crescent
    rig: long
    subject: photosphere
    from: C2 - 48 s
    until: C2 - 35 s
    every: 5 s
    patience: 4 s
    exposure: {shutter: 1/500}
  - name: corona
    rig: long
    subject: corona 0.1 to 2
    from: C2 + 6 s
    until: C3 - 6 s
    every: back to back
    bracket: {from: 1/1000, to: 1 s, by: 2 stops}
  - name: land
    rig: "<b>wide</b>"
    subject: landscape
    from: C2 - 80 s
    until: C3 + 40 s
    every: 6 s
    patience: 5 s
    exposure: {shutter: 1/125}
cues:
  - {at: MID, say: Halfway.}
`;

rmSync(folder, {recursive: true, force: true});
mkdirSync(folder, {recursive: true});
writeFileSync(join(folder, "plan.yaml"), plan);
const run = spawn(daemon, ["--state", join(folder, "run"), join(folder, "plan.yaml"), "--simulate", "--move", "C2=+3min",
  "--speed", "4", "--page", "127.0.0.1:0"], {stdio: ["ignore", "pipe", "inherit"]});
let printed = "";
run.stdout.on("data", (bytes) => { printed += bytes; });
const ended = new Promise((done) => run.on("exit", done));
async function comes(find, seconds = 60) {
  for (let n = 0; n < seconds * 20; ++n) {
    const found = await find();
    if (found) return found;
    await new Promise((again) => setTimeout(again, 50));
  }
  return null;
}

const browser = await playwright.chromium.launch({executablePath: chromium, args: ["--no-sandbox"]});
try {
  const base = (await comes(() => /Watch it: (http:\S+\/)#token=/.exec(printed)))[1];
  const token = readFileSync(join(folder, "run", "page.token"), "utf8");
  const context = await browser.newContext({viewport: {width: 360, height: 740}});
  const page = await context.newPage();
  const asked = [];
  const errors = [];
  page.on("request", (request) => asked.push(request.url()));
  page.on("console", (message) => { if (message.type() === "error") errors.push(message.text()); });
  page.on("pageerror", (error) => errors.push(String(error)));
  await page.goto(base + "#token=" + token);

  const lane = page.locator(".lane").first();
  await lane.waitFor();
  check("what a plan calls itself is text", await page.locator("#title").textContent() === markup);
  check("so is a rig's name", await page.locator(".lane h2").nth(1).textContent() === "<b>wide</b>");
  check("and nothing of it is markup", await page.locator("main :not(.picture) > img, header img, .lane b").count() === 0);
  check("it is needed next for a person's hands", (await page.locator("#needed-words").textContent()).startsWith("aim again at long"),
    await page.locator("#needed-words").textContent());
  const picture = page.locator(".picture img");
  check("the body's small picture shows", await comes(async () => await picture.count() === 1 &&
    await picture.evaluate((img) => img.naturalWidth) === 160, 30) !== null);
  check("with what it tells", await comes(async () => /UTC: the Sun is well in the frame/.test(await page.locator(".picture figcaption").textContent()), 5) !== null);
  const before = await page.locator("#contact-in").textContent();
  check("time to the next contact runs", await comes(async () => await page.locator("#contact-in").textContent() !== before, 10) !== null);
  check("a rehearsal says so", (await page.locator("#mode").textContent()).includes("keep the camera filter on"));
  check("on a phone nothing is wider than it", await page.evaluate(() => document.documentElement.scrollWidth) <= 360);
  check("Sun and Moon are drawn and told", (await page.locator("#discs").getAttribute("aria-labelledby")) === "discs-words" &&
    /the Moon at \d+ degrees from north/.test(await page.locator("#discs-words").textContent()));
  const radii = await page.evaluate(() => [document.getElementById("sun"), document.getElementById("moon")].map((c) => c.r.baseVal.value));
  // The ratio of diameters there: 1.025 (NASA's map of this eclipse).
  check("to scale", radii[0] === 1 && Math.abs(radii[1] - 1.025) < 0.005, radii);
  await page.screenshot({path: join(folder, "before.png"), fullPage: true});

  // By keyboard alone.
  await lane.locator("summary").focus();
  await page.keyboard.press("Enter");
  await page.getByRole("button", {name: "Hold, long"}).focus();
  await page.keyboard.press("Enter");
  check("a key asks first", await page.locator("#ask-words").textContent() === "hold long?");
  await page.keyboard.press("Enter");
  check("a command is done", await comes(async () => await page.locator("#said").textContent() === "Done: hold long", 10) !== null,
    await page.locator("#said").textContent());
  check("and shown", await comes(async () => await lane.locator(".body").textContent() === "HELD", 10) !== null);
  await page.getByRole("button", {name: "Resume, long"}).focus();
  await page.keyboard.press("Enter");
  await page.keyboard.press("Enter");
  check("and undone", await comes(async () => await lane.locator(".body").textContent() === "ready", 10) !== null);

  const stranger = await context.newPage();
  await stranger.goto(base);
  await stranger.locator("summary").first().click();
  await stranger.getByRole("button", {name: "Hold, long"}).click();
  await stranger.getByRole("button", {name: "Do it"}).click();
  check("without the token nothing is done", await comes(async () => (await stranger.locator("#said").textContent()).startsWith("NOT done"), 10) !== null);
  await stranger.close();

  const night = () => page.evaluate(() => document.body.classList.contains("night"));
  check("by day it is black on white", !(await night()) && await page.evaluate(() => getComputedStyle(document.body).backgroundColor) === "rgb(255, 255, 255)");
  check("in totality it is night", await comes(night, 120) !== null);
  await comes(async () => /TOTALITY \d:[1-9]/.test(await page.locator("#totality").textContent()), 60);
  const lit = await page.evaluate(() => [...document.querySelectorAll("body, body *")].flatMap((element) => {
    const style = getComputedStyle(element);
    return [style.color, style.backgroundColor, style.borderTopColor].map((colour) => colour.match(/[\d.]+/g).map(Number))
      .filter(([r, g, b, a]) => a !== 0 && (r > 190 || g > 60 || b > 60)).map(() => element.tagName + "." + element.id);
  }));
  check("and nothing is bright or other than red", lit.length === 0, lit.slice(0, 5));
  check("third contact is what counts", await page.locator("#contact-name").textContent() === "To C3");
  await page.screenshot({path: join(folder, "totality.png"), fullPage: true});

  await page.setViewportSize({width: 1200, height: 900});
  await page.getByRole("button", {name: "Night colours"}).click();
  check("a person may have it otherwise", !(await night()));
  await page.screenshot({path: join(folder, "wide.png"), fullPage: true});

  check("nothing is asked of any other server", asked.every((url) => url.replace(/^blob:/, "").startsWith(base)), asked);
  check("nothing broke", errors.length === 0, errors);
  run.kill("SIGTERM");
  check("a run that is gone is told", await comes(async () => (await page.locator("#link").textContent()).startsWith("NO NEWS"), 20) !== null);
} catch (error) {
  check("the test itself: " + error, false);
} finally {
  await browser.close();
  run.kill("SIGTERM");
  await ended;
}
process.exit(failed ? 1 : 0);
