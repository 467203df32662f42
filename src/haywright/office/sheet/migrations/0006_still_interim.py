from django.apps.registry import Apps
from django.db import migrations, models


def interim_of_those_there(apps: Apps, _editor: object) -> None:
    """Which of the sheets that are there already still wait for something."""
    versions = apps.get_model("sheet", "Version")
    newest = versions.objects.filter(sheet=models.OuterRef("pk")).order_by("-number")
    sheets = apps.get_model("sheet", "Sheet").objects.filter(models.Exists(newest))
    sheets.update(interim=models.Subquery(newest.values("interim")[:1]))


class Migration(migrations.Migration):
    dependencies = [
        ("people", "0003_codes_and_sign_outs"),
        ("sheet", "0005_nitrate_of_the_newest"),
        ("stack", "0005_found_by_text"),
    ]

    operations = [
        migrations.AddField(
            model_name="sheet",
            name="interim",
            field=models.BooleanField(default=False),
        ),
        migrations.AddIndex(
            model_name="sheet",
            index=models.Index(
                condition=models.Q(("interim", True)),
                fields=["office", "written_at", "id"],
                name="sheets_still_interim",
            ),
        ),
        migrations.RunPython(interim_of_those_there, migrations.RunPython.noop),
    ]
