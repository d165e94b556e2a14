"""A backup's file: whatever happens to it is seen before anything is touched."""

import zipfile
from pathlib import Path

import pytest

from deploy import backup, backup_file, restore
from deploy.backup_file import BadBackup
from tests.deploy.kept_shop import KeptShop, open_shop, settings_in


@pytest.fixture
def on_sqlite(tmp_path: Path) -> KeptShop:
    opened = open_shop(settings_in(tmp_path / "shop"))
    opened.shop.engine.dispose()
    return opened


def test_damage_anywhere_is_seen_before_anything_is_touched(
    on_sqlite: KeptShop, tmp_path: Path
) -> None:
    file = backup.make_backup(on_sqlite.settings)
    whole = file.read_bytes()
    (tmp_path / "whole").mkdir()
    backup_file.unpack(file, tmp_path / "whole")
    kept = _files(tmp_path / "whole")
    refused = 0
    for place in range(40, len(whole), len(whole) // 60):
        damaged = tmp_path / f"damaged-{place}"
        damaged.write_bytes(whole[:place] + bytes([whole[place] ^ 0xFF]) + whole[place + 1 :])
        folder = tmp_path / f"unpacked-{place}"
        folder.mkdir()
        try:
            backup_file.unpack(damaged, folder)
        except BadBackup:
            refused += 1
        else:  # as where the packing's own dates are
            assert _files(folder) == kept
    assert refused > 50
    for cut in (0, 10, len(whole) // 2, len(whole) - 1):
        (tmp_path / "cut").write_bytes(whole[:cut])
        with pytest.raises(BadBackup):
            restore.restore(settings_in(tmp_path / "elsewhere"), tmp_path / "cut", replace=True)
    assert not (tmp_path / "elsewhere/data/garlandry.sqlite3").exists()


def _files(folder: Path) -> dict[str, bytes]:
    return {path.name: path.read_bytes() for path in folder.rglob("*") if path.is_file()}


def test_a_file_that_would_lead_outside_of_the_folder_is_refused(
    on_sqlite: KeptShop, tmp_path: Path
) -> None:
    part = tmp_path / "part"
    part.write_text("x")
    made = backup_file.read_manifest(backup.make_backup(on_sqlite.settings))
    for name in ("../outside", "/tmp/outside"):  # noqa: S108
        backup_file.write(tmp_path / "odd.backup", {name: part}, made)
        (tmp_path / "into").mkdir(exist_ok=True)
        with pytest.raises(BadBackup, match="outside of itself"):
            backup_file.unpack(tmp_path / "odd.backup", tmp_path / "into")


def test_rows_that_are_not_those_of_the_list_are_refused(
    on_sqlite: KeptShop, tmp_path: Path
) -> None:
    file = backup.make_backup(on_sqlite.settings)
    (tmp_path / "into").mkdir()
    manifest = backup_file.unpack(file, tmp_path / "into")
    told = manifest.model_copy(update={"rows": {**manifest.rows, "leads": 7}})
    odd = tmp_path / "odd.backup"
    backup_file.write(odd, {backup_file.DATABASE: tmp_path / "into/shop.sqlite3"}, told)
    with pytest.raises(BadBackup, match="in leads"):
        restore.restore(settings_in(tmp_path / "elsewhere"), odd, replace=False)


def test_a_part_that_is_not_the_one_of_the_list_is_refused(
    on_sqlite: KeptShop, tmp_path: Path
) -> None:
    """Whole to its packing, and of the right length: only its sum tells."""
    part, other = tmp_path / "part", tmp_path / "other"
    part.write_text("our own price book")
    other.write_text("another price book")
    made = backup_file.read_manifest(backup.make_backup(on_sqlite.settings))
    told = backup_file.write(tmp_path / "ours", {backup_file.PRICE_BOOK: part}, made)
    with zipfile.ZipFile(tmp_path / "odd.backup", "w") as packed:
        packed.write(other, backup_file.PRICE_BOOK)
        packed.writestr("manifest.json", told.model_dump_json())
    (tmp_path / "into").mkdir()
    with pytest.raises(BadBackup, match=r"price_book\.yaml in it is damaged"):
        backup_file.unpack(tmp_path / "odd.backup", tmp_path / "into")
