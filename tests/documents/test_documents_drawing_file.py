"""The section of a joint as a file of its own."""

from xml.etree import ElementTree

from longhold.documents.drawing_file import drawing_svg


def test_the_file_is_whole_svg_with_its_own_style_and_patterns(make):
    answer = make()
    for finding in answer.findings[:3]:
        text = drawing_svg(answer, finding)
        drawn = ElementTree.fromstring(text)
        assert drawn.tag == "{http://www.w3.org/2000/svg}svg"
        assert "--loss-5" in text
        assert 'id="wet"' in text
        assert "://" not in text.replace("http://www.w3.org/2000/svg", "")
        assert "data:font/woff2" in text
        assert finding.joint.id in "".join(drawn.itertext())
