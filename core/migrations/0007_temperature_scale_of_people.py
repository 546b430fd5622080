import django.core.validators
from django.db import migrations, models


class Migration(migrations.Migration):

    dependencies = [
        ('core', '0006_live_events'),
    ]

    operations = [
        migrations.AddField(
            model_name='user',
            name='temperature_scale',
            field=models.CharField(choices=[('C', '°C'), ('F', '°F')], default='C', max_length=1, verbose_name='temperatures in'),
        ),
        migrations.AlterField(
            model_name='rehearsalroom',
            name='temperature_c',
            field=models.DecimalField(blank=True, decimal_places=1, max_digits=4, null=True, validators=[django.core.validators.MinValueValidator(-30, 'The air of a room has at least −30 °C.'), django.core.validators.MaxValueValidator(60, 'The air of a room has at most 60 °C.')], verbose_name='temperature, °C'),
        ),
        migrations.AlterField(
            model_name='show',
            name='temperature_c',
            field=models.DecimalField(blank=True, decimal_places=1, max_digits=4, null=True, validators=[django.core.validators.MinValueValidator(-30, 'The air of a room has at least −30 °C.'), django.core.validators.MaxValueValidator(60, 'The air of a room has at most 60 °C.')], verbose_name='temperature, °C'),
        ),
    ]
