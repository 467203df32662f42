"""A nitrate that lies beyond a limit is told from one that was found."""

from django.apps.registry import Apps
from django.db import migrations, models


def state_of_those_there(apps: Apps, _editor: object) -> None:
    """The state of the nitrate in the newest version of every sheet that knows one."""
    versions = apps.get_model("sheet", "Version")
    sheets = apps.get_model("sheet", "Sheet").objects.filter(nitrate__isnull=False)
    sheets.update(nitrate_state="measured")
    newest = versions.objects.filter(sheet=models.OuterRef("pk")).order_by("-number")
    found = models.Subquery(newest.values("nitrate")[:1])
    for sheet in sheets.annotate(found=found).filter(found__isnull=True):
        last = versions.objects.filter(sheet=sheet).order_by("-number").first()
        measured = last.snapshot["sheet"]["measured"] if last else []
        states = [one["state"] for one in measured if one["analyte"] == "nitrate_n"]
        sheet.nitrate_state = states[0] if states else "measured"
        sheet.save(update_fields=["nitrate_state"])


class Migration(migrations.Migration):
    dependencies = [("sheet", "0006_still_interim")]

    operations = [
        migrations.AddField(
            model_name="sheet",
            name="nitrate_state",
            field=models.CharField(blank=True, default="", max_length=20),
            preserve_default=False,
        ),
        migrations.RunPython(state_of_those_there, migrations.RunPython.noop),
        migrations.AddConstraint(
            model_name="sheet",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    (
                        "nitrate_state__in",
                        ["", "measured", "below limit", "above range", "between", "held"],
                    )
                ),
                name="sheet_nitrate_state",
            ),
        ),
    ]
