"""Files of the app that the browser lost from its cache: fetched again, checked, kept again."""

from __future__ import annotations

import hashlib
import re
from contextlib import suppress
from pathlib import Path

from playwright.sync_api import Error, Page, expect

from tests.browser.conftest import START, Phone, Server, equip, installed
from tests.browser.technician import PATIENCE
from tests.browser.test_runtime import ask, change_release

LOSE_ALL = "async () => { for (const name of await caches.keys()) await caches.delete(name); }"
LOSE_ONE = """async (hash) => {
  for (const name of await caches.keys()) {
    const cache = await caches.open(name);
    for (const { url } of await cache.keys()) if (url.endsWith(hash)) await cache.delete(url);
  }
}"""
KEPT = """async () => {
  const [name] = await caches.keys();
  const kept = name ? await (await caches.open(name)).keys() : [];
  return kept.map(({ url }) => url.split("/").at(-1)).sort();
}"""
STATUS = """async (path) => {
  const response = await fetch(path);
  return [response.status, (await response.text()).slice(0, 80)];
}"""


# Whether the release that holds this content is whole on the phone, waiting or in force already.
INSTALLED = """async (hash) => {
  const { installing } = await navigator.serviceWorker.getRegistration();
  for (const name of await caches.keys()) {
    const kept = await (await caches.open(name)).keys();
    if (kept.some(({ url }) => url.endsWith(hash))) return !installing;
  }
  return false;
}"""


def hash_of(file: Path) -> str:
    return hashlib.sha256(file.read_bytes()).hexdigest()


def of_release(server: Server) -> list[str]:
    """The hashes of all files of the release, from the files themselves."""
    worker = (server.folder / "service-worker.js").read_text()
    told = dict(re.findall(r'"([^"\s]+)": "([0-9a-f]{64})"', worker))
    assert all(hash_of(server.folder / path) == told[path] for path in ("app.js", "index.html"))
    return sorted(set(told.values()))


def works(page: Page) -> None:
    """The first page stands, drawn by the app's own modules."""
    expect(page.get_by_role("button", name="kPa, °C, litres")).to_be_visible(timeout=PATIENCE)


def kept_again(page: Page, hashes: list[str]) -> None:
    """All of the release is in the cache again."""
    for _ in range(600):
        if page.evaluate(KEPT) == hashes:
            return
        page.wait_for_timeout(100)
    raise TimeoutError(f"{len(page.evaluate(KEPT))} of {len(hashes)} files are kept")


def started(phone: Phone, server: Server) -> Page:
    """A browser that is started on the app that it was given before."""
    equip(phone)
    page = phone.start()
    page.goto(server.url)
    works(page)
    return page


def test_a_lost_cache_is_filled_again_and_the_app_works_offline_again(
    phone: Phone, server: Server
) -> None:
    page = started(phone, server)
    hashes = of_release(server)
    assert page.evaluate(KEPT) == hashes
    page.evaluate(LOSE_ALL)
    page.reload()
    works(page)
    kept_again(page, hashes)
    server.stop()
    phone.kill()
    page = phone.start()
    page.goto(server.url)
    works(page)
    page.evaluate(START, "/engine/worker.js")
    assert "answer" in ask(page, "about", {})


def test_one_lost_file_is_fetched_again_and_kept(phone: Phone, server: Server) -> None:
    page = started(phone, server)
    page.evaluate(LOSE_ONE, hash_of(server.folder / "app.js"))
    assert len(page.evaluate(KEPT)) == len(of_release(server)) - 1
    page.reload()
    works(page)
    kept_again(page, of_release(server))
    server.stop()
    page.reload()
    works(page)


def test_a_lost_file_is_not_there_offline_and_never_taken_from_another_hand(
    phone: Phone, server: Server
) -> None:
    page = started(phone, server)
    lost = "licences/index.txt"
    own, digest = (server.folder / lost).read_text(), hash_of(server.folder / lost)
    page.evaluate(LOSE_ONE, digest)
    (server.folder / lost).write_text("sign in to this network")
    status, words = page.evaluate(STATUS, lost)
    assert (status, "newer release" in words) == (404, True), words
    assert digest not in page.evaluate(KEPT)
    server.stop()
    status, words = page.evaluate(STATUS, lost)
    assert (status, "Connect" in words) == (404, True), words
    (server.folder / lost).write_text(own)
    server.start()
    assert page.evaluate(STATUS, lost) == [200, own[:80]]
    kept_again(page, of_release(server))
    assert page.evaluate(STATUS, "no/such/file")[0] == 404


def left_behind(phone: Phone, server: Server) -> Page:
    """A page loaded again after its own script was lost and the host has gone on."""
    page = phone.start()
    page.goto(server.url)
    installed(page)
    page.reload()
    works(page)
    page.evaluate(LOSE_ONE, hash_of(server.folder / "app.js"))
    text = (server.folder / "app.js").read_text()
    change_release(server, "app.js", text + "\n// another release\n")
    page.reload()
    return page


def test_a_page_that_cant_start_is_loaded_afresh_by_the_next_release(
    phone: Phone, server: Server
) -> None:
    """In the same window, with no hand on it: a page without its modules can press nothing."""
    page = left_behind(phone, server)
    works(page)
    read = "async () => (await fetch('app.js')).text()"
    assert page.evaluate(read).endswith("// another release\n")
    kept_again(page, of_release(server))
    server.stop()
    page.reload()
    works(page)


def test_where_the_host_has_gone_on_the_next_release_takes_over_at_the_next_start(
    phone: Phone, server: Server
) -> None:
    page = left_behind(phone, server)
    coming = hash_of(server.folder / "app.js")
    for _ in range(300):  # it is fetched at once, else when the browser looks for one by itself
        with suppress(Error):  # the page is loaded afresh meanwhile
            if page.evaluate(INSTALLED, coming):
                break
        page.wait_for_timeout(200)
    else:
        raise TimeoutError("the next release was not installed")
    phone.kill()
    page = phone.start()
    page.goto(server.url)
    works(page)
    read = "async () => (await fetch('app.js')).text()"
    assert page.evaluate(read).endswith("// another release\n")
