from django.db import migrations, models

from haywright.office.stack.waits import all_settled


class Migration(migrations.Migration):
    dependencies = [
        ("bag", "0004_what_today_asks"),
        ("bench", "0004_laboratory_page"),
        ("stack", "0003_carried_over_and_papers"),
    ]

    operations = [
        migrations.AddField(
            model_name="lot",
            name="waits",
            field=models.CharField(blank=True, default="", max_length=10),
        ),
        migrations.AddField(
            model_name="lot",
            name="waits_since",
            field=models.DateField(null=True),
        ),
        migrations.AddIndex(
            model_name="lot",
            index=models.Index(fields=["office", "waits", "waits_since"], name="lots_that_wait"),
        ),
        migrations.AddIndex(
            model_name="lot",
            index=models.Index(fields=["office", "state", "-baled_on"], name="lots_by_baling"),
        ),
        all_settled(),
    ]
