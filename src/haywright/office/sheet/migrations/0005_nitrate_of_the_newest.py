from django.apps.registry import Apps
from django.db import migrations, models


def known_of_those_there(apps: Apps, _editor: object) -> None:
    """The nitrate of the newest version of every sheet that is there already."""
    versions = apps.get_model("sheet", "Version")
    newest = versions.objects.filter(sheet=models.OuterRef("pk")).order_by("-number")
    found = models.Subquery(newest.values("nitrate")[:1])
    apps.get_model("sheet", "Sheet").objects.update(nitrate=found)


class Migration(migrations.Migration):
    dependencies = [("sheet", "0004_calls_by_day")]

    operations = [
        migrations.AddField(
            model_name="sheet",
            name="nitrate",
            field=models.DecimalField(decimal_places=4, max_digits=12, null=True),
        ),
        migrations.RemoveIndex(model_name="sheet", name="sheets_to_call_about"),
        migrations.AddIndex(
            model_name="sheet",
            index=models.Index(
                fields=["office", "-nitrate", "-id"],
                condition=models.Q(("to_call", True)),
                name="sheets_to_call_about",
            ),
        ),
        migrations.RemoveIndex(model_name="sheet", name="sheets_to_explain"),
        migrations.AddIndex(
            model_name="sheet",
            index=models.Index(
                fields=["office", "-id"],
                condition=models.Q(("to_explain", True)),
                name="sheets_to_explain",
            ),
        ),
        migrations.RunPython(known_of_those_there, migrations.RunPython.noop),
    ]
