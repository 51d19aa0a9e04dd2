"""All that a page sends arrives, however long the other side takes to look."""

import pytest
from jupyter_client.manager import start_new_kernel

pytestmark = pytest.mark.slow

WIDGETS = 6000
"""So many that what is not read yet is more than a thousand messages and what the system itself holds of a connection."""


@pytest.fixture
def kernel(kernel_environment):
    manager, client = start_new_kernel(env=kernel_environment)
    yield client
    client.stop_channels()
    manager.shutdown_kernel(now=True)


def test_a_page_arrives_whole_where_nobody_reads_while_it_is_made(kernel):
    run = f"""
import ipywidgets, rheokit as rk
made = []
ipywidgets.Widget.on_widget_constructed(made.append)
pages = []
while len(made) < {WIDGETS}:
    pages.append(rk.widgets.RecipeExplorer())
print(len(made))
"""
    asked = kernel.execute(run)
    while kernel.get_shell_msg(timeout=120)["parent_header"].get("msg_id") != asked:
        pass
    opened, printed, ended = 0, "", False
    while not ended:
        message = kernel.get_iopub_msg(timeout=20)
        content = message["content"]
        if message["parent_header"].get("msg_id") != asked:
            continue
        assert message["msg_type"] != "error", content
        opened += message["msg_type"] == "comm_open"
        printed += content.get("text", "")
        ended = content.get("execution_state") == "idle"
    assert opened == int(printed) >= WIDGETS
