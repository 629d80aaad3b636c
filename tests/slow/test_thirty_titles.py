"""Thirty titles in ten scripts give thirty folders, whole runs of the command; edited orders go where they went."""

from __future__ import annotations

import json
import subprocess
import sys

import pytest

from seatmesh.files.names import as_one_name

TITLES = {
    "Latin": [
        "Anna's chair",
        "ANNA'S CHAIR",
        "Anna’s chair!",
        "Fauteuil de Zoë nº 3",
        "Ghế của Nguyễn",
        "CON",
        "nul.",
    ],
    "Greek": ["Καρέκλα της Ελένης", "ΚΑΡΈΚΛΑ ΤΗΣ ΕΛΈΝΗΣ", "σκαμπό"],
    "Cyrillic": ["Стул для Анны", "Стілець їжака"],
    "Hebrew": ["כיסא של דנה", "כִּסֵּא של דנה"],
    "Arabic": ["كرسي ليلى", "صندلی می\u200cرو"],
    "Devanagari": ["कुर्सी नंबर २", "अन्ना की कुर्सी"],
    "Thai": ["เก้าอี้ของสมชาย", "เก้าอี้ของสมหญิง"],
    "Han": ["安娜的椅子", "安娜的凳子"],
    "Kana": ["アンナの椅子", "アンナ　チェア"],
    "Hangul": ["안나의 의자", "의자 2호"],
    "none": ["🎻", "🪑🪑", "???", "!!!"],
}


@pytest.mark.slow
def test_thirty_titles_in_ten_scripts_give_thirty_folders(tmp_path):
    titles = [title for several in TITLES.values() for title in several]
    assert len({*titles}) == 30
    assert len(TITLES) - 1 == 10
    folders = {}
    for wishes, every in (("depth_mm = 0", 1), ("depth_mm = 0\nfront_roll_mm = 10", 4)):
        for number, title in list(enumerate(titles))[::every]:
            order = f'title = "{title}"\n[[sitter]]\nbody = "violin-1"\n[wishes]\n{wishes}\n'
            (tmp_path / f"{number}.toml").write_text(order, encoding="utf-8")
            asked = [
                sys.executable,
                "-m",
                "seatmesh",
                "sheets",
                f"{number}.toml",
                "--format",
                "svg",
                "--json",
            ]
            done = subprocess.run(asked, cwd=tmp_path, capture_output=True, encoding="utf-8", check=True)
            folder = tmp_path / json.loads(done.stdout)["folder"]
            assert folder == folders.setdefault(title, folder)
    assert len({as_one_name(folder.parent.name) for folder in folders.values()}) == 30
    for title, folder in folders.items():
        record = json.loads((folder.parent / "made-from.json").read_text(encoding="utf-8"))
        assert record["made_from"]["title"] == title
        assert all(len(part.encode()) <= 255 for part in folder.parts)
    assert len(list((tmp_path / "out").iterdir())) == 30
