"""Choices written down without a template for each: a list of crops has more than a hundred."""

from __future__ import annotations

from typing import Any

from django.forms.renderers import DjangoTemplates
from django.forms.utils import flatatt
from django.utils.html import format_html, format_html_join
from django.utils.safestring import SafeString


class Drawn(DjangoTemplates):
    """The renderer of forms, with the choices of a list made at once."""

    def render(self, template_name: str, context: dict[str, Any], request: Any = None) -> str:
        """Render a widget.

        Parameters
        ----------
        template_name, context, request
            As Django's forms give them.
        """
        if template_name == "django/forms/widgets/select.html":
            return _select(context["widget"])
        return super().render(template_name, context, request)


def _select(widget: dict[str, Any]) -> SafeString:
    options = format_html_join("", "{}", ((_group(*one),) for one in widget["optgroups"]))
    return format_html(
        '<select name="{}"{}>{}</select>', widget["name"], flatatt(widget["attrs"]), options
    )


def _group(name: str | None, options: list[dict[str, Any]], _place: int) -> SafeString:
    held = format_html_join(
        "",
        '<option value="{}"{}>{}</option>',
        ((one["value"], flatatt(one["attrs"]), one["label"]) for one in options),
    )
    return held if name is None else format_html('<optgroup label="{}">{}</optgroup>', name, held)
