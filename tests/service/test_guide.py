"""The guide as pages of the service."""

from seatmesh.guide import ORDER


def test_every_chapter_is_a_page(client):
    index = client.get("/guide")
    assert index.status_code == 200
    assert index.headers["content-type"].startswith("text/html")
    for topic in ORDER:
        assert f'href="guide/{topic}"' in index.text
        page = client.get(f"/guide/{topic}")
        assert f'href="../guide/{topic}"' in page.text
        assert page.status_code == 200
        assert "<h1 id=" in page.text


def test_tables_and_symbols_are_laid_out(client):
    page = client.get("/guide/sources").text
    assert "<td>S13</td>" in page
    assert "<script" not in page


def test_an_unknown_chapter_is_not_there(client):
    assert client.get("/guide/bnech").status_code == 404


def test_the_pictures_of_a_chapter_are_given_beside_it(client):
    page = client.get("/guide/first-seat").text
    assert 'src="pictures/plan.png"' in page
    answer = client.get("/guide/pictures/plan.png")
    assert answer.headers["content-type"] == "image/png"
    assert answer.content.startswith(b"\x89PNG")
    assert client.get("/guide/pictures/..%2Fbench.md").status_code == 404
    assert client.get("/guide/pictures/none.png").status_code == 404
