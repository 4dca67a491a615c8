import subprocess
import sys


def test_showing_an_answer_loads_the_heavy_libraries_only_when_they_are_used() -> None:
    code = (
        "import sys\n"
        "import brazesoak.report.text, brazesoak.report.as_json, brazesoak.report.run_card\n"
        "import brazesoak.plots.histories, brazesoak.plots.sections\n"
        "import brazesoak.results.write, brazesoak.results.read\n"
        "print(*({'matplotlib', 'jinja2', 'h5py', 'pint', 'numba', 'scipy'} & set(sys.modules)))"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == ""
